//! A hand-written deck is changed by span: nothing else moves, no comment is lost.
