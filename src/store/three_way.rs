//! Two changes of one value, made apart: what both come to, or where they clash.
//!
//! Fields and entries are known by their keys, items of lists by what names them. Whatever has no
//! name of its own, a receive for example, is one thing: parts of two of them make no third.

use crate::store::editing::identity;
use crate::store::tree::{Node, NodePart, closing};
use crate::store::writing::Plain;

/// A part of a value in its plainest form.
pub(super) type Piece<'p> = (&'p Plain, &'p Node);

/// What `there` becomes by the change from `was` to `now`, in its plainest form; nothing when it
/// goes.
///
/// # Errors
/// The way to what both have changed, differently.
pub(crate) fn merged(
    was: Option<Piece<'_>>,
    there: Option<Piece<'_>>,
    now: Option<Piece<'_>>,
) -> Result<Option<String>, Vec<String>> {
    let [before, theirs, ours] = [was, there, now].map(|piece| piece.map(written));
    if ours == before || ours == theirs {
        return Ok(theirs.map(str::to_owned));
    }
    if theirs == before {
        return Ok(ours.map(str::to_owned));
    }
    let (Some(there), Some(now)) = (there, now) else { return Err(Vec::new()) };
    let parts = [was, Some(there), Some(now)].map(|piece| piece.map_or_else(Vec::new, named));
    if !is_open(was, there.1, now.1) || parts.iter().any(|parts| has_twice(parts)) {
        return Err(Vec::new());
    }
    let [befores, theirs, ours] = &parts;
    let is_new = |part: &&Named<'_>| theirs.iter().all(|known| known.0 != part.0);
    let mut both = Vec::new();
    for (name, key, _) in theirs.iter().chain(ours.iter().filter(is_new)) {
        let [before, theirs, ours] = [befores, theirs, ours]
            .map(|parts| parts.iter().find(|part| part.0 == *name).map(|part| part.2));
        let part = merged(before, theirs, ours).map_err(|mut path| {
            path.insert(0, name.trim_start_matches("name ").to_owned());
            path
        })?;
        both.extend(part.map(|value| format!("{key}{value}")));
    }
    let open = there.1.shape().map_or('(', |(open, _)| open);
    let word = there.1.leading_word().unwrap_or_default();
    Ok(Some(format!("{word}{open}{}{}", both.join(","), closing(open))))
}

pub(super) fn written((plain, node): Piece<'_>) -> &str {
    plain.written(node)
}

/// True when the parts of these three can be changed apart: those of lists and maps, of what has a
/// name, and of the file itself.
fn is_open(was: Option<Piece<'_>>, there: &Node, now: &Node) -> bool {
    let is_alike =
        |node: &Node| node.shape() == there.shape() && node.leading_word() == there.leading_word();
    let is_known = was.is_some_and(|(plain, was)| {
        is_alike(was) && (there.name().is_some() || plain.root.span == was.span)
    });
    let is_many = matches!(there.shape(), Some(('[' | '{', _)));
    is_alike(now) && (is_known || is_many && was.is_none_or(|(_, was)| is_alike(was)))
}

/// What a part is known by, its key as it is written, its value.
pub(super) type Named<'p> = (String, String, Piece<'p>);

pub(super) fn named<'p>((plain, node): Piece<'p>) -> Vec<Named<'p>> {
    let name = |part: &'p NodePart| {
        let value = (plain, &part.value);
        match &part.key {
            Some(key) => {
                let name = part.name().unwrap_or_else(|| plain.written(key)).to_owned();
                (name, format!("{}:", plain.written(key)), value)
            }
            None => (identity(plain, &part.value), String::new(), value),
        }
    };
    node.parts().iter().map(name).collect()
}

pub(super) fn has_twice(parts: &[Named<'_>]) -> bool {
    let mut names: Vec<&str> = parts.iter().map(|part| part.0.as_str()).collect();
    names.sort_unstable();
    names.windows(2).any(|pair| pair[0] == pair[1])
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::store::scan::Tree;

    fn plain(text: &str) -> Plain {
        Plain { source: text.to_owned(), root: Tree::scan("a.ron", text).unwrap().root }
    }

    fn both(was: &str, there: &str, now: &str) -> Result<String, Vec<String>> {
        let [was, there, now] = [was, there, now].map(plain);
        let [was, there, now] = [&was, &there, &now].map(|plain| Some((plain, &plain.root)));
        merged(was, there, now).map(Option::unwrap_or_default)
    }

    /// A deck of two serves, the weights and receives of which are numbers here.
    fn deck([a, b, of_a, of_b]: [u8; 4]) -> String {
        let receive = |of: u8| format!("(stroke:push,expect:{of},then:{of})");
        format!(
            "(serves:[(id:\"a\",weight:{a}),(id:\"b\",weight:{b})],plan:{{\"a\":{},\"b\":{}}})",
            receive(of_a),
            receive(of_b)
        )
    }

    proptest! {
        #[test]
        fn a_change_of_one_side_is_that_side(was: [u8; 4], now: [u8; 4]) {
            let (was, now) = (deck(was), deck(now));
            prop_assert_eq!(both(&was, &was, &now), Ok(now.clone()));
            prop_assert_eq!(both(&was, &now, &was), Ok(now.clone()));
            prop_assert_eq!(both(&was, &now, &now), Ok(now));
        }

        #[test]
        fn changes_of_different_serves_come_to_the_same_in_any_order(was: [u8; 4], new: [u8; 4]) {
            let one = deck([new[0], was[1], was[2], new[3]]);
            let other = deck([was[0], new[1], new[2], was[3]]);
            let wanted = Ok(deck(new));
            prop_assert_eq!(both(&deck(was), &one, &other), wanted.clone());
            prop_assert_eq!(both(&deck(was), &other, &one), wanted);
        }
    }

    #[test]
    fn two_changes_of_the_same_clash_where_it_stands() {
        let path = |names: [&str; 3]| Err(names.map(str::to_owned).to_vec());
        let was = deck([0, 0, 0, 0]);
        assert_eq!(
            both(&was, &deck([1, 0, 0, 0]), &deck([2, 0, 0, 0])),
            path(["serves", "a", "weight"])
        );
        let clash = both(&was, &deck([0, 0, 1, 0]), &deck([0, 0, 2, 0]));
        assert_eq!(clash, Err(vec!["plan".to_owned(), "a".to_owned()]));
    }

    #[test]
    fn what_each_side_adds_or_takes_away_is_so_in_both() {
        let said = both(
            "(l:[(id:\"a\"),(id:\"b\")])",
            "(l:[(id:\"b\")])",
            "(l:[(id:\"a\"),(id:\"b\"),(id:\"c\")])",
        );
        assert_eq!(said.unwrap(), "(l:[(id:\"b\"),(id:\"c\")])");
        assert_eq!(both("(n:1)", "(n:1,l:[1])", "(n:1,l:[2])").unwrap(), "(n:1,l:[1,2])");
        let gone = both("(l:[(id:\"a\",n:1)])", "(l:[])", "(l:[(id:\"a\",n:2)])");
        assert_eq!(gone, Err(vec!["l".to_owned(), "a".to_owned()]));
    }

    #[test]
    fn parts_of_two_receives_make_no_third() {
        let was = "(plan:{\"a\":(stroke:push,to:short)})";
        let there = "(plan:{\"a\":(stroke:flick,to:short)})";
        assert!(both(was, there, "(plan:{\"a\":(stroke:push,to:long)})").is_err());
    }
}
