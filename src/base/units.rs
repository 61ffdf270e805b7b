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
    /// A length at the table: `34 cm`, or inches to the half: `13.5 in`.
    pub fn length(self, metres: f64) -> String {
        match self {
            Self::Metric => format!("{:.0} cm", metres * 100.0),
            Self::Imperial => format!("{} in", (metres / INCH_M * 2.0).round() / 2.0),
        }
    }

    /// A length without its unit.
    pub fn bare(self, metres: f64) -> String {
        let words = self.length(metres);
        words.split(' ').next().unwrap_or_default().to_owned()
    }

    /// A speed: `5.32 m/s` or `12 mph`.
    pub fn speed(self, m_s: f64) -> String {
        match self {
            Self::Metric => format!("{m_s:.2} m/s"),
            Self::Imperial => format!("{:.0} mph", m_s * 3.6 / (INCH_M * 63.36)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_nine_feet_long() {
        assert_eq!(Units::Metric.length(2.74), "274 cm");
        assert_eq!(Units::Imperial.length(2.74), "108 in");
        assert_eq!(Units::Imperial.length(0.34), "13.5 in");
        // A mile is 1609.344 m.
        assert_eq!(Units::Imperial.speed(1609.344 / 360.0), "10 mph");
    }
}
