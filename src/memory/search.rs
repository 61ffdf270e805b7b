//! x

/// Whether small.
pub fn is_small(_items: usize, _steps: usize, _answers: f64) -> bool {
    false
}
