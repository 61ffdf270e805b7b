//! Lengths as the player measures them: everything inside is metres, only what is printed changes.

use crate::base::words;

words! {
    /// What the player measures in.
    pub enum Units : "unit" {
        /// Centimetres and metres a second.
        Metric = "metric" "metric",
        /// Inches, feet and miles an hour.
        Imperial = "imperial" "imperial",
    }
}

/// Metres in an inch (exact, international yard and pound agreement of 1959).
const INCH_M: f64 = 0.0254;

impl Units {
    /// A length at the table: `34 cm` or `13.5 in`.
    pub fn length(self, metres: f64) -> String {
        match self {
            Self::Metric => format!("{:.0} cm", metres * 100.0),
            Self::Imperial => format!("{:.1} in", metres / INCH_M),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_nine_feet_long() {
        assert_eq!(Units::Metric.length(2.74), "274 cm");
        assert_eq!(Units::Imperial.length(2.74), "107.9 in");
    }
}
