//! Nothing acknowledged is lost, nothing damaged is passed over in silence.

mod files;
