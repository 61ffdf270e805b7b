//! The file by which a home knows its own pages and answers.

use serde::{Deserialize, Serialize};

use crate::base::Finding;
use crate::deck::advice::Judged;

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

/// A key that no page can carry.
pub(super) fn judge(file: &PhoneFile) -> Vec<Judged> {
    let is_key = !file.key.is_empty() && file.key.chars().all(|c| c.is_ascii_alphanumeric());
    let said = || Judged {
        path: vec!["key".to_owned()],
        finding: Finding::error("this is no key of a home")
            .hint("bring it back from a copy, or delete the file and write the pages again"),
    };
    (!is_key).then(said).into_iter().collect()
}
