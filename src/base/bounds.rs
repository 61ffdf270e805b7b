//! The form of a bound: what a number is, its unit, the least and most it may be, and who says so.
//!
//! Each folder keeps its own table of [`Bound`]s; the same entry checks an input and words the
//! error.

/// What a number may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// What is measured, in words: `launch speed`.
    pub what: &'static str,
    /// Its unit as printed behind a number; empty for a bare number.
    pub unit: &'static str,
    /// The least value accepted.
    pub least: f64,
    /// The most accepted.
    pub most: f64,
    /// Where the bound comes from.
    pub source: &'static str,
}

/// A number outside its bound.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{} is {}, allowed is {}", bound.what, with_unit(*value, bound.unit), bound.range())]
pub struct OutOfBounds {
    /// The bound that was broken.
    pub bound: Bound,
    /// The number given.
    pub value: f64,
}

impl Bound {
    /// `value` itself when it lies within the bound.
    ///
    /// # Errors
    /// [`OutOfBounds`] when it does not, or is not a number.
    pub fn check(&self, value: f64) -> Result<f64, OutOfBounds> {
        if value.is_finite() && (self.least..=self.most).contains(&value) {
            Ok(value)
        } else {
            Err(OutOfBounds { bound: *self, value })
        }
    }

    /// `0.1 to 40 m/s`: the range with its unit.
    pub fn range(&self) -> String {
        format!("{} to {}", self.least, with_unit(self.most, self.unit))
    }
}

/// A number with its unit behind it.
fn with_unit(value: f64, unit: &str) -> String {
    if unit.is_empty() { value.to_string() } else { format!("{value} {unit}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SPEED: Bound =
        Bound { what: "launch speed", unit: "m/s", least: 0.1, most: 40.0, source: "for the test" };

    #[test]
    fn the_bound_words_its_own_error() {
        assert_eq!(SPEED.check(12.0), Ok(12.0));
        let error = SPEED.check(-3.0).unwrap_err();
        assert_eq!(error.to_string(), "launch speed is -3 m/s, allowed is 0.1 to 40 m/s");
        assert!(SPEED.check(f64::NAN).is_err());
    }
}
