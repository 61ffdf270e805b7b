//! The drills by name: what each is, and which launchers can do it.

use std::collections::BTreeMap;

use crate::base::text;
use crate::launcher::LauncherKind;
use crate::rehearsal::{Variation, drills};

/// The drills of all launchers, then the player's own, each with what was typed.
pub fn drills_text<'k>(
    own: impl Iterator<Item = (&'k String, &'k Vec<String>)>,
    width: usize,
) -> String {
    let mut groups: BTreeMap<Vec<usize>, Vec<Variation>> = BTreeMap::new();
    for &drill in Variation::ALL {
        let can = |kind: &LauncherKind| drills(*kind).1.contains(&drill);
        let kinds = LauncherKind::ALL.iter().enumerate().filter(|(_, kind)| can(kind));
        let kinds: Vec<usize> = kinds.map(|(place, _)| place).collect();
        if !kinds.is_empty() {
            groups.entry(kinds).or_default().push(drill);
        }
    }
    let mut page = vec!["A drill alone: secondball rehearse --drill NAME".to_owned()];
    let mut groups: Vec<_> = groups.into_iter().collect();
    groups.sort_by_key(|(kinds, _)| std::cmp::Reverse(kinds.len()));
    for (kinds, drills) in groups {
        let kinds: Vec<String> =
            kinds.iter().map(|&kind| LauncherKind::ALL[kind].word().replace('_', "-")).collect();
        page.extend([String::new(), text::and_list(&kinds)]);
        page.extend(
            drills.iter().map(|drill| entry(&drill.word().replace('_', "-"), drill.shown(), width)),
        );
    }
    let own: Vec<String> = own
        .map(|(name, words)| {
            let words: Vec<String> = words
                .iter()
                .map(|word| if word.starts_with('-') { word.clone() } else { text::typed(word) })
                .collect();
            entry(&text::one_line(name), &words.join(" "), width)
        })
        .collect();
    if own.is_empty() {
        page.extend([
            String::new(),
            "Keep one of your own: secondball rehearse --balls 40 --keep tuesday".to_owned(),
        ]);
    } else {
        page.extend([String::new(), "your own".to_owned()]);
        page.extend(own);
    }
    page.iter().flat_map(|line| [line.as_str(), "\n"]).collect()
}

fn entry(name: &str, words: &str, width: usize) -> String {
    text::wrap(&format!("  {name:20} {words}"), width, "                       ")
}
