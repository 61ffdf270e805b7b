//! What can be wrong with a text: its notation, or a value that cannot stand where it does, as
//! serde tells of it.

use std::ops::Range;

use serde::de;

use crate::base::finding::Place;
use crate::base::{Finding, text};
use crate::store::tree::{Node, NodeKind};

/// A mistake in a text.
#[derive(Debug, thiserror::Error)]
#[error("{what}")]
pub(crate) struct Wrong {
    /// Where to point; none until a node claims the mistake.
    pub span: Option<Range<usize>>,
    what: String,
    hint: Option<String>,
    /// The word before the group's name, while that name is still to be said.
    article: Option<&'static str>,
    /// The field that is missing, when that is the mistake.
    pub missing: Option<&'static str>,
}

impl Wrong {
    /// A mistake that no node has claimed yet.
    pub(crate) fn new(what: impl Into<String>) -> Self {
        let what = what.into();
        Self { span: None, what, hint: None, article: None, missing: None }
    }

    /// A mistake of notation.
    pub(crate) fn at(span: Range<usize>, what: impl Into<String>) -> Self {
        Self { span: Some(span), ..Self::new(what) }
    }

    /// The same mistake with the way out.
    pub(crate) fn or(self, hint: impl Into<String>) -> Self {
        Self { hint: Some(hint.into()), ..self }
    }

    /// The same mistake, claimed by a node unless an inner one has done so.
    pub(crate) fn claimed_by(self, node: &Node) -> Self {
        if self.span.is_some() {
            return self;
        }
        // A group is pointed at by its opening, and so is what is missing in it.
        let is_group = matches!(node.kind, NodeKind::Group { .. });
        let end = if is_group { node.span.start + 1 } else { node.span.end };
        Self { span: Some(node.span.start..end), ..self }
    }

    /// The same mistake with the name of the group it is about, unless an inner one has given its
    /// own.
    pub(crate) fn in_group(self, name: &str) -> Self {
        match self.article {
            Some(article) => {
                let what = format!("{article} {} {}", spoken(name), self.what);
                Self { what, article: None, ..self }
            }
            None => self,
        }
    }

    /// The mistake with its place.
    pub(crate) fn found(self, file: &str, text: &str) -> Finding {
        let span = self.span.unwrap_or(0..1);
        let place = Place::within(file, text, span.start, span.end);
        Finding { hint: self.hint, ..Finding::error(self.what).at(place) }
    }
}

impl de::Error for Wrong {
    /// What a type says of its own text: the mistake, then the way out.
    fn custom<T: std::fmt::Display>(said: T) -> Self {
        let said = said.to_string();
        match said.split_once("; ").or_else(|| said.rsplit_once(": ")) {
            Some((what, hint)) => Self::new(what).or(hint),
            None => Self::new(said),
        }
    }

    fn invalid_length(length: usize, expected: &dyn de::Expected) -> Self {
        let found = text::count(length, "value");
        Self::new(format!("{found} cannot stand here")).or(format!("expected {expected}"))
    }

    fn unknown_field(found: &str, known: &'static [&'static str]) -> Self {
        let quoted: Vec<_> = known.iter().map(|word| format!("`{word}`")).collect();
        let hint = match text::closest(found, known) {
            Some(meant) => format!("did you mean `{meant}`?"),
            None => format!("it may have {}", text::and_list(&quoted)),
        };
        let what = format!("has no field `{found}`");
        Self { article: Some("a"), ..Self::new(what).or(hint) }
    }

    fn missing_field(field: &'static str) -> Self {
        let wrong = Self::new(format!("has no `{field}`"));
        let wrong = wrong.or(format!("add `{field}: ...` inside the brackets"));
        Self { article: Some("this"), missing: Some(field), ..wrong }
    }
}

/// Most words that are listed beside a mistake.
const MOST_LISTED: usize = 12;

/// A word that the vocabulary of a type does not hold.
pub(crate) fn unknown_word(of: &str, found: &str, known: &[&str]) -> Wrong {
    let bare = found.trim_matches('"');
    let what = spoken(of);
    if bare != found && known.contains(&bare) {
        return Wrong::new(format!("the {what} {found} stands in quotes"))
            .or(format!("words of this kind stand without quotes: {bare}"));
    }
    let is_word = found.chars().all(|letter| letter.is_alphanumeric() || letter == '_');
    let shown = if is_word { format!("`{found}`") } else { found.to_owned() };
    let hint = match text::closest(bare, known) {
        Some(meant) => format!("did you mean `{}`?", with_value(meant)),
        None if known.len() > MOST_LISTED => "`secondball words` has them all".to_owned(),
        None => text::one_of(&known.iter().map(|word| with_value(word)).collect::<Vec<_>>()),
    };
    Wrong::new(format!("{shown} is not {} {what}", text::article(&what))).or(hint)
}

/// A word of a vocabulary as it is written, with the value that belongs to it.
fn with_value(word: &str) -> &str {
    match word {
        "own" => "own(\"in your words\")",
        "share" => "share(0.4)",
        "rev_s" => "rev_s(50)",
        word => word,
    }
}

/// What a vocabulary or a group of fields is called, from the name of its type.
fn spoken(of: &str) -> String {
    let known = match of {
        "HowOften" => "frequency",
        "From" => crate::game::From::WHAT,
        "Sure" => crate::game::Sure::WHAT,
        "ScoreHabit" => crate::game::ScoreHabit::WHAT,
        "Against" => crate::game::Against::WHAT,
        "WeightName" => crate::game::WeightName::WHAT,
        "Units" => crate::base::Units::WHAT,
        "MatchDay" => "event",
        "Owned" => "receive of the repertoire",
        "Player" => "player file",
        // `TableSide` as `table side`.
        other => {
            let spaced = other.chars().flat_map(|letter| {
                let gap = letter.is_uppercase().then_some(' ');
                gap.into_iter().chain(letter.to_lowercase())
            });
            return spaced.collect::<String>().trim_start().to_owned();
        }
    };
    known.to_owned()
}
