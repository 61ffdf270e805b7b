//! Changing a file by span: what differs is replaced, everything else stays as the player wrote it.

use serde::Serialize;

use crate::base::Finding;
use crate::store::Trouble;
use crate::store::writing::Plain;

/// The text with `value` in place of what it held; nothing when there is nothing to change.
pub(crate) fn edited<T: Serialize + PartialEq>(
    file: &str,
    text: &str,
    value: &T,
    parse: impl Fn(&str, &str) -> Result<T, Vec<Finding>>,
) -> Result<Option<String>, Trouble> {
    let old = parse(file, text).map_err(Trouble::Findings)?;
    if old == *value {
        return Ok(None);
    }
    Ok(Some(Plain::of(file, value)?.document("")))
}
