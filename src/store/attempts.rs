//! From the tree of a file to a value, with every mistake found at once.
//!
//! The types of the nouns (their serde shapes) are the single truth about what may stand where. A
//! mistake stops serde; it is noted with the exact node it concerns, that node is set aside, and
//! reading starts again, until the rest reads well: so ten mistakes are ten findings after one
//! look. A required field that is set aside or missing is stood in for by any value, so that
//! nothing behind it is hidden. What a number or letter means is left to `ron`.

use std::cell::RefCell;
use std::marker::PhantomData;

use serde::de::DeserializeOwned;

use crate::base::text;
use crate::store::aside::Aside;
use crate::store::misread::{Misread, Mistake};
use crate::store::reading::NodeReader;
use crate::store::tree::Node;

/// A value as far as it could be read, and every mistake.
pub(crate) struct Read<T> {
    /// The value; nothing when the mistakes leave none.
    pub value: Option<T>,
    /// The mistakes, in the order of the text.
    pub mistakes: Vec<Misread>,
    /// Only whole optional fields were set aside, so what the value means can still be judged.
    pub is_sound: bool,
}

/// Most mistakes told of one file; a file with more is not a file of this kind.
const MOST_MISTAKES: usize = 100;

/// Reads a value from a tree.
pub(crate) fn read<T: DeserializeOwned>(root: &Node) -> Read<T> {
    let mut attempts = Attempts::at(root);
    let mut value = None;
    let mut is_over = attempts.mistakes.len() >= MOST_MISTAKES;
    while !is_over {
        let reader = NodeReader { node: Some(root), aside: &attempts.aside };
        match reader.read(PhantomData::<T>) {
            Ok(read) => {
                value = Some(read);
                break;
            }
            Err(misread) => is_over = !attempts.go_on_without(misread),
        }
    }
    let (mistakes, is_sound) = attempts.told();
    Read { value, mistakes, is_sound }
}

/// What the attempts at reading one tree have set aside so far, whatever type is read.
struct Attempts<'t> {
    root: &'t Node,
    aside: RefCell<Aside>,
    mistakes: Vec<Misread>,
}

impl<'t> Attempts<'t> {
    fn at(root: &'t Node) -> Self {
        let mut aside = Aside::default();
        let mut mistakes = Vec::new();
        aside.put_repeated(root, &mut mistakes);
        Self { root, aside: RefCell::new(aside), mistakes }
    }

    /// Notes a mistake and sets aside what it concerns; whether another attempt makes sense.
    fn go_on_without(&mut self, misread: Misread) -> bool {
        let start = misread.node.unwrap_or(self.root.span.start);
        let aside = self.aside.get_mut();
        if misread.is_own {
            return false;
        }
        let can_go_on = if let Mistake::Missing { field, .. } = misread.mistake {
            // A field with a misspelt name is told once, as that.
            let is_told = aside.masked_fields.iter().any(|(group, name)| {
                *group == start && (name == field || text::closest(name, &[field]).is_some())
            });
            let stood_in = aside.stood_in.entry(start).or_default();
            let is_stuck = stood_in.contains(&field);
            stood_in.push(field);
            aside.is_maimed = true;
            if !is_told {
                self.mistakes.push(misread);
            }
            !is_stuck
        } else {
            let can_go_on = start != self.root.span.start && aside.put(self.root, start);
            self.mistakes.push(misread);
            can_go_on
        };
        can_go_on && self.mistakes.len() < MOST_MISTAKES
    }

    /// The mistakes in the order of the text, and whether what was read can still be judged.
    fn told(mut self) -> (Vec<Misread>, bool) {
        self.mistakes.sort_by_key(|misread| misread.span.start);
        (self.mistakes, !self.aside.into_inner().is_maimed)
    }
}
