//! The file by which a home knows its own pages and answers.

use serde::{Deserialize, Serialize};

/// Its name in the home.
pub(super) const FILE: &str = "phone.ron";

/// What pages and answers of a home are matched by.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PhoneFile {
    pub(super) format: u32,
    /// Pages of this home carry it, and answers with another one are refused.
    pub(super) key: String,
}
