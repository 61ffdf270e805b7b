//! Small results kept in `cache/` so that they need not be worked out again. They may be deleted at
//! any time, and one that cannot be read or written is no error: it is worked out again.

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::store::{Home, disk};

impl Home {
    /// What was kept under this name, if it is there and still of this form.
    pub fn kept<T: DeserializeOwned>(&self, name: &str) -> Option<T> {
        let text = std::fs::read_to_string(self.kept_path(name)).ok()?;
        serde_json::from_str(&text).ok()
    }

    /// Keeps a result under this name.
    pub fn keep<T: Serialize>(&self, name: &str, result: &T) {
        let Ok(text) = serde_json::to_string(result) else { return };
        let path = self.kept_path(name);
        let written = disk::make_folder(&self.root().join("cache"))
            .and_then(|()| disk::write_whole(&path, text.as_bytes()));
        drop(written);
    }

    fn kept_path(&self, name: &str) -> std::path::PathBuf {
        self.root().join(format!("cache/{name}.json"))
    }
}
