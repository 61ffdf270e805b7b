//! Which file of a folder needs which other one, and the circles among them.
//!
//! A name is followed through what a `mod.rs` shows (`pub use file::Name`) to the file it stands in.

use std::collections::{BTreeMap, BTreeSet};

use super::sources::{Source, paths};

/// The files with the modules they are, and what each needs.
pub struct Tree {
    /// Module path to file: `["a", "x"]` to `a/x.rs`.
    files: BTreeMap<Vec<String>, String>,
    /// What a module shows under a name, as a path.
    shown: BTreeMap<(Vec<String>, String), Vec<String>>,
    needs: BTreeMap<String, BTreeSet<String>>,
}

/// The module a file is.
fn module(shown: &str) -> Vec<String> {
    let mut path: Vec<String> =
        shown.trim_end_matches(".rs").split('/').map(str::to_owned).collect();
    if matches!(path.last().map(String::as_str), Some("mod" | "lib" | "main")) {
        path.pop();
    }
    path
}

impl Tree {
    /// Reads who needs whom.
    pub fn grow(sources: &[Source]) -> Self {
        let inside = || sources.iter().filter(|source| source.folder.is_some());
        let mut tree = Self {
            files: inside().map(|source| (module(&source.shown), source.shown.clone())).collect(),
            shown: BTreeMap::new(),
            needs: BTreeMap::new(),
        };
        for source in inside() {
            let here = module(&source.shown);
            for statement in source.code.split(';') {
                let Some(at) = statement.find("pub use ").or(statement.find("pub(crate) use "))
                else {
                    continue;
                };
                for path in paths(&statement[at..]) {
                    let Some(name) = path.last().cloned() else { continue };
                    tree.shown.insert((here.clone(), name), tree.absolute(&here, &path));
                }
            }
        }
        for source in inside() {
            let here = module(&source.shown);
            let is_shown = |target: &Vec<String>| {
                tree.shown.iter().any(|((at, _), path)| *at == here && path == target)
            };
            let needs: BTreeSet<String> = paths(&source.code)
                .iter()
                .map(|path| tree.absolute(&here, path))
                // Showing a child's name is no need of it.
                .filter(|path| !is_shown(path))
                .filter_map(|path| tree.home(path))
                .filter(|file| *file != source.shown)
                .filter(|file| file.split('/').next() == source.folder.as_deref())
                .collect();
            tree.needs.insert(source.shown.clone(), needs);
        }
        tree
    }

    /// A path from the root on; a path of another crate stays as it is and is found nowhere.
    fn absolute(&self, here: &[String], path: &[String]) -> Vec<String> {
        let mut at = here.to_vec();
        for (place, segment) in path.iter().enumerate() {
            match segment.as_str() {
                "crate" if place == 0 => at.clear(),
                "self" if place == 0 => {}
                "super" => drop(at.pop()),
                _ if place == 0 => {
                    let child = [here, std::slice::from_ref(segment)].concat();
                    if !self.files.contains_key(&child) {
                        return path.to_vec();
                    }
                    at = child;
                }
                _ => at.push(segment.clone()),
            }
        }
        at
    }

    /// The file a path leads to.
    fn home(&self, mut path: Vec<String>) -> Option<String> {
        // A name shown from a name shown is followed a few times at most.
        for _ in 0..4 {
            let known = (1..=path.len()).rev().find(|&n| self.files.contains_key(&path[..n]))?;
            let (module, rest) = path.split_at(known);
            let Some(name) = rest.first() else { return self.files.get(module).cloned() };
            match self.shown.get(&(module.to_vec(), name.clone())) {
                Some(elsewhere) if *elsewhere != path => path = elsewhere.clone(),
                _ => return self.files.get(module).cloned(),
            }
        }
        None
    }

    /// Groups of files that need each other, each in the order of their paths.
    pub fn circles(&self) -> Vec<Vec<String>> {
        let reach: BTreeMap<&String, BTreeSet<&String>> =
            self.needs.keys().map(|file| (file, self.reached(file))).collect();
        let mut circles: Vec<Vec<String>> = Vec::new();
        for (file, there) in &reach {
            if !there.contains(file) || circles.iter().flatten().any(|known| known == *file) {
                continue;
            }
            let back = |other: &&&String| reach[**other].contains(file);
            circles.push(there.iter().filter(back).map(|other| (*other).clone()).collect());
        }
        circles
    }

    fn reached<'t>(&'t self, from: &String) -> BTreeSet<&'t String> {
        let mut seen = BTreeSet::new();
        let mut open: Vec<&String> = self.needs[from].iter().collect();
        while let Some(file) = open.pop() {
            if seen.insert(file) {
                open.extend(&self.needs[file]);
            }
        }
        seen
    }
}
