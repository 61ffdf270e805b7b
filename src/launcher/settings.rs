//! What is entered on a launcher for one ball: physics first, then its own dials in entry order.
//!
//! Only the form is here. A rehearsal carries it empty until aiming fills it in.

use serde::{Deserialize, Serialize};

/// One dial and the value to enter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DialSetting {
    /// The name on the panel.
    pub name: String,
    /// The value on the panel's own scale.
    pub value: f64,
}

/// The setting of one ball. Frame: origin at the centre of the launcher's end line on the playing
/// surface, x to the receiver, y to the launcher's left, z up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// Speed at the outlet, m/s.
    pub speed_m_s: f64,
    /// Elevation, degrees; - points down.
    pub elevation_deg: f64,
    /// Azimuth, degrees; + to the launcher's left.
    pub azimuth_deg: f64,
    /// Topspin (+) or backspin (-), rev/s.
    pub top_rev_s: f64,
    /// Side spin, rev/s; + swerves to the launcher's left, the receiver's right.
    pub side_rev_s: f64,
    /// The launcher's dials, in the order in which they are entered; empty when it has none on file.
    pub dials: Vec<DialSetting>,
    /// Where to start on dials that nobody calibrated, in words; none when they are, or none are on file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub guess: Option<String>,
}
