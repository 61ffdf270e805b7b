//! The map of the house as DEVELOPERS.md draws it: `| n | folder | holds | crates at home here |`.

use std::collections::BTreeMap;

/// Folders with their numbers, and outside crates with the folders they are at home in.
pub struct House {
    pub floors: BTreeMap<String, u8>,
    pub crates: BTreeMap<String, Vec<String>>,
}

impl House {
    /// Reads the table.
    pub fn drawn() -> Self {
        let page = include_str!("../../DEVELOPERS.md");
        let mut house = Self { floors: BTreeMap::new(), crates: BTreeMap::new() };
        for line in page.lines() {
            let cells: Vec<&str> = line.split('|').map(str::trim).collect();
            let [_, number, folder, _, crates, _] = cells[..] else { continue };
            let Ok(number) = number.parse() else { continue };
            let folder = folder.trim_matches('`').to_owned();
            for name in crates.split(',').map(str::trim).filter(|name| !name.is_empty()) {
                let name = name.replace('-', "_");
                house.crates.entry(name).or_default().push(folder.clone());
            }
            house.floors.insert(folder, number);
        }
        assert!(house.floors.len() > 10, "the map of DEVELOPERS.md was not found");
        house
    }
}
