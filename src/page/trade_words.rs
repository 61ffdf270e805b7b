//! The words of this program, a screen for each group: from the vocabularies that read them, so
//! that what is listed is understood and what is understood is listed.

use serde_json::{Value, json};

use crate::base::text;
use crate::base::words::{Word, spelled, words};
use crate::game::{
    Against, Covering, Depth, Direction, From, Grip, Lane, MotionName, Pace, ScoreHabit, Spin,
    Stroke, Style, ThirdBall, Timing, Toss, UpOrDown, WaitingPlace, WeightName,
};
use crate::journal::{How, Quality};
use crate::page::text_page::filled_text;
use crate::rehearsal::SessionPhase;

words! {
    /// What can be asked for.
    pub enum WordGroup : "group of words" {
        /// How they serve: motion, from where, toss, at which scores.
        Serve = "serve" "serve",
        /// What is on the ball: spin, how much, the side it breaks and kicks to.
        Spin = "spin" "spin",
        /// Where it goes and how: depth, lane, direction, pace.
        Place = "place" "place",
        /// What you do: stroke, timing, with or against sidespin.
        Receive = "receive" "receive",
        /// Who they are: grip, coverings, style, where they wait, which ball they like.
        Them = "them" "them" | "opponent",
        /// What is noted of a point, and what your own ball did.
        Match = "match" "match",
        /// Words of the plan, the drill and the table.
        Practice = "practice" "practice",
    }
}

/// Words that no question offers: word, what is understood too, meaning.
type Term = (&'static str, &'static [&'static str], &'static str);

const OF_A_BALL: [Term; 2] = [
    ("breaks", &["bends", "curves"], "The side to which its path bends in the air, as you see it."),
    ("kicks", &[], "The side to which it jumps off a bat that is held still."),
];

const OF_A_POINT: [Term; 2] = [
    (
        "they waited for it",
        &["waiting", "they were there", "read"],
        "They stood where your receive went, before it came.",
    ),
    ("they did not", &["not waiting", "surprised"], "They had to move for it."),
];

const OF_PRACTICE: [Term; 14] = [
    ("twin", &[], "Another serve from the same swing."),
    ("tell", &[], "What you can see before contact that gives a serve away."),
    ("guess", &[], "A serve, or a part of it, that nobody has seen yet."),
    ("safe answer", &[], "The receive for a ball you did not read."),
    ("switch", &[], "One receive changed during a match, with a name for the bench."),
    ("cue", &[], "What you see them do that calls for the switch."),
    ("in time", &[], "Right, within the time a match leaves or the drill allows."),
    ("late", &[], "Right, after that."),
    ("wrong", &[], "Another receive."),
    ("old answer", &[], "After a switch, the receive of the plan again."),
    ("times match time", &[], "How much longer than a match leaves you took: 1.0 is a match."),
    ("test ball", &[], "Let it pass and look where it goes: after each change of setting."),
    ("nozzle", &["outlet", "head"], "Where the ball leaves the launcher."),
    ("a full reset", &[], "Back to the ready position before every ball, as in a match."),
];

fn listed<W: Word>(what: &str) -> Value {
    let words: Vec<Value> = W::EVERY.iter().map(|word| entry_of(*word)).collect();
    list_of(what, &words)
}

/// A list with the column behind its widest word.
fn list_of(what: &str, words: &[Value]) -> Value {
    let widest = words.iter().filter_map(|entry| entry["word"].as_str()).map(text::width).max();
    json!({ "what": what, "column": widest.unwrap_or_default() + 2, "words": words })
}

fn entry_of(word: impl Word) -> Value {
    let shown = word.for_people();
    let others = [&[word.in_files()], word.also()].concat();
    let letters = |it: &str| spelled(it).replace('_', "");
    let is_other = |it: &&&str| letters(it) != letters(shown);
    let also: Vec<_> = others.iter().filter(is_other).map(|it| it.replace('_', " ")).collect();
    // Some words say it all.
    let meaning =
        Some(word.meaning()).filter(|it| letters(it.trim_end_matches('.')) != letters(shown));
    json!({ "word": shown, "also": also, "meaning": meaning.unwrap_or_default() })
}

fn terms(what: &str, terms: &[Term]) -> Value {
    let entry =
        |(word, also, meaning): &Term| json!({ "word": word, "also": also, "meaning": meaning });
    list_of(what, &terms.iter().map(entry).collect::<Vec<_>>())
}

/// The lists of a group.
fn lists(group: WordGroup) -> Vec<Value> {
    match group {
        WordGroup::Serve => vec![
            listed::<MotionName>("motion"),
            listed::<From>("served from"),
            listed::<Toss>("toss"),
            listed::<ScoreHabit>("comes more often"),
        ],
        WordGroup::Spin => vec![
            listed::<Spin>("spin"),
            listed::<WeightName>("amount of spin"),
            terms("side", &OF_A_BALL),
        ],
        WordGroup::Place => vec![
            listed::<Depth>("depth"),
            listed::<Lane>("lane, of who receives the ball"),
            listed::<Direction>("direction"),
            listed::<Pace>("pace"),
        ],
        WordGroup::Receive => vec![
            listed::<Stroke>("stroke"),
            listed::<Timing>("timing"),
            listed::<Against>("against sidespin"),
        ],
        WordGroup::Them => vec![
            listed::<Grip>("grip"),
            listed::<Covering>("covering"),
            listed::<Style>("style"),
            listed::<WaitingPlace>("where they wait"),
            listed::<ThirdBall>("third ball they like, or hate"),
        ],
        WordGroup::Match => vec![
            listed::<Quality>("your receive was"),
            terms("did they wait", &OF_A_POINT),
            listed::<UpOrDown>("your ball, for scout ball"),
        ],
        WordGroup::Practice => {
            vec![
                terms("plan, drill and table", &OF_PRACTICE),
                listed::<SessionPhase>("parts of a session"),
                listed::<How>("ways to drill"),
            ]
        }
    }
}

/// The groups, each in a line.
pub fn groups() -> Value {
    let words: Vec<Value> = WordGroup::ALL.iter().map(|group| entry_of(*group)).collect();
    json!({ "lists": [list_of("secondball words ...", &words)] })
}

/// The words of a group.
pub fn of_group(group: WordGroup) -> Value {
    json!({ "lists": lists(group) })
}

/// Every word that is said so, or has it among its words; none when nothing is.
pub fn said_so(given: &str) -> Option<Value> {
    let given = spelled(given);
    let has = |words: &str| {
        let words = spelled(words);
        words == given || words.split('_').any(|part| part == given)
    };
    let is_meant = |entry: &&Value| {
        let also = entry["also"].as_array().into_iter().flatten();
        also.chain([&entry["word"]]).any(|it| it.as_str().is_some_and(has))
    };
    let found = WordGroup::ALL.iter().flat_map(|group| lists(*group)).filter_map(|list| {
        let words = list["words"].as_array()?.iter().filter(is_meant).cloned().collect::<Vec<_>>();
        (!words.is_empty()).then(|| list_of(list["what"].as_str().unwrap_or_default(), &words))
    });
    let lists: Vec<Value> = found.collect();
    (!lists.is_empty()).then(|| json!({ "lists": lists }))
}

/// The words as text, `width` columns wide.
pub fn words_text(page: &Value, width: usize) -> String {
    filled_text(include_str!("templates/trade_words.txt"), page, width)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_group_is_a_screen_of_words_with_a_meaning_each() {
        for &group in WordGroup::ALL {
            for list in lists(group) {
                for entry in list["words"].as_array().unwrap() {
                    let meaning = entry["meaning"].as_str().unwrap();
                    let says = meaning.ends_with('.') && meaning.len() > 4;
                    assert!(says || entry["word"].as_str().unwrap().starts_with("a "), "{entry}");
                }
            }
            let text = words_text(&of_group(group), 80);
            assert!(!text.contains('…'), "{text}");
            assert!(text.lines().count() <= 40, "{}: {text}", text.lines().count());
            assert!(text.lines().all(|line| crate::base::text::width(line) <= 80), "{text}");
        }
    }

    #[test]
    fn a_word_is_found_by_any_way_to_say_it() {
        let shown = |given: &str| {
            let page = said_so(given).map(|page| words_text(&page, 80)).unwrap_or_default();
            page.lines()
                .filter_map(|line| line.strip_prefix("  ")?.split("  ").next().map(str::to_owned))
                .filter(|word| !word.is_empty())
                .collect::<Vec<_>>()
        };
        assert_eq!(shown("strawberry"), ["reverse flick"]);
        assert_eq!(shown("no spin"), ["no spin"]);
        assert_eq!(shown("loop"), ["slow loop", "fast loop"]);
        assert_eq!(said_so("xylophone"), None);
    }
}
