//! The pad: the receives that can be given at once, laid out where their targets lie.
//!
//! Nine places are the opponent's half of the table as the player looks at it: the far row is
//! long, the near row short, the columns are forehand, middle and backhand of the opponent, so a
//! left-hander's half is the other way round. A receive lies where its target lies, always; up to
//! three at one place divide it from left to right. Letters (`q w e`, `a s d`, `z x c`) and the
//! numeric keypad lie the same way; where several lie at one place, a second key of that row
//! chooses, the same one again or its neighbour. The pad depends on the deck alone, so a key
//! means the same all session and mostly all season.

use serde::Serialize;

use crate::game::{Depth, Hand, Lane, Receive, ReceiveKey, Stroke, Target};

/// Fewest receives on a palette: with fewer the key could be guessed.
const FEWEST: usize = 5;
/// Most receives on a palette: more nobody finds in time.
const MOST: usize = 9;
/// Most receives at one place: thinner parts no thumb hits.
const AT_ONE_PLACE: usize = 3;

/// The letters of the square, far row first.
pub const LETTERS: [char; 9] = ['q', 'w', 'e', 'a', 's', 'd', 'z', 'x', 'c'];
/// The digits of the square as they lie on a numeric keypad.
const DIGITS: [char; 9] = ['7', '8', '9', '4', '5', '6', '1', '2', '3'];

/// The cell of the square (0 to 8, far row first, left to right) that a key names. `y` is read as
/// `z`, because some keyboards swap the two.
pub fn cell_of_key(key: char) -> Option<usize> {
    let key = if matches!(key, 'y' | 'Y') { 'z' } else { key.to_ascii_lowercase() };
    (0..LETTERS.len()).find(|&cell| LETTERS[cell] == key || DIGITS[cell] == key)
}

/// One receive of the palette.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PaletteChoice {
    /// Its cell in the square, 0 to 8.
    pub cell: usize,
    /// How many receives share that cell.
    pub parts: usize,
    /// Which of them it is, from the left.
    pub part: usize,
    /// The keys that give it, one after the other.
    pub keys: String,
    /// The receive's canonical text.
    pub receive: ReceiveKey,
    /// The receive in words.
    pub shown: String,
    /// Its stroke, in as few words as tell it from the others in its cell.
    pub label: String,
    /// Its stroke among [`Palette::strokes`].
    pub stroke: usize,
    /// The cells its target allows, when stroke and target are asked one after the other.
    pub targets: Vec<usize>,
    /// True when the opponent's plan does not hold it: it is there to choose from.
    pub is_other: bool,
}

impl PaletteChoice {
    /// Whether a stroke to a cell may be meant as this receive.
    pub(super) fn agrees(&self, stroke: usize, cell: usize) -> bool {
        self.stroke == stroke && self.targets.contains(&cell)
    }
}

/// The receives of a round, and the strokes among them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Palette {
    /// The receives, in the order of their cells.
    pub choices: Vec<PaletteChoice>,
    /// The strokes with their wings, in words, for answers built from stroke and target.
    pub strokes: Vec<String>,
    /// The lanes of the columns, left to right as the player sees them.
    pub lanes: [Lane; 3],
}

impl Palette {
    /// The palette of these receives (those asked for first), filled up with plausible others.
    /// Receives that find no room are left out.
    pub fn new(receives: &[Receive], opponent: Hand) -> Self {
        let mut kept: Vec<Receive> = Vec::new();
        for receive in receives {
            put(&mut kept, &receive.bare());
        }
        let asked = kept.len();
        for other in others(receives) {
            let is_free = kept.iter().all(|had| home_cell(had) != home_cell(&other));
            if kept.len() < FEWEST && is_free {
                kept.push(other);
            }
        }
        let strokes = strokes_of(&kept);
        let is_turned = opponent == Hand::Left;
        let mut choices: Vec<PaletteChoice> = Vec::new();
        for (place, receive) in kept.iter().enumerate() {
            let cell = turned(home_cell(receive), is_turned);
            let together = |among: &[Receive]| -> Vec<Receive> {
                let here = |one: &&Receive| home_cell(one) == home_cell(receive);
                among.iter().filter(here).cloned().collect()
            };
            let (all, part) = (together(&kept), together(&kept[..place]).len());
            let stroke = receive.stroke_shown();
            choices.push(PaletteChoice {
                cell,
                parts: all.len(),
                part,
                keys: keys(cell, part, all.len()),
                receive: ReceiveKey::from_receive(receive),
                shown: receive.shown(),
                stroke: strokes.iter().position(|own| *own == stroke).unwrap_or_default(),
                targets: target_cells(receive.to, is_turned),
                label: label(receive, &all),
                is_other: place >= asked,
            });
        }
        choices.sort_by_key(|choice| (choice.cell, choice.part));
        let mut lanes = LANES;
        if is_turned {
            lanes.reverse();
        }
        Self { choices, strokes, lanes }
    }

    /// The place of this receive among the choices.
    pub fn place_of(&self, receive: &Receive) -> Option<usize> {
        let key = ReceiveKey::from_receive(receive);
        self.choices.iter().position(|choice| choice.receive == key)
    }

    /// The place of the first choice in this cell.
    pub(super) fn first_in(&self, cell: usize) -> Option<usize> {
        self.choices.iter().position(|choice| choice.cell == cell)
    }

    /// The place of the choice that a second key, of this other cell, names within a cell.
    pub(super) fn within(&self, cell: usize, other: usize) -> Option<usize> {
        let first = self.first_in(cell).filter(|_| cell / 3 == other / 3)?;
        let part = match self.choices[first].parts {
            2 => usize::from(other % 3 > (cell % 3).min(1)),
            _ => other % 3,
        };
        Some(first + part)
    }

    /// The canonical text of an answer built from a stroke and a target cell.
    pub fn built(&self, stroke: usize, cell: usize) -> ReceiveKey {
        // A choice that agrees is meant, whatever else its words say.
        if let Some(choice) = self.choices.iter().find(|choice| choice.agrees(stroke, cell)) {
            return choice.receive.clone();
        }
        let words = self.strokes.get(stroke).map_or("", String::as_str);
        let to = self.target(cell);
        let text = Receive::from_text(words)
            .map_or_else(|_| words.to_owned(), |stroke| Receive { to, ..stroke }.text());
        ReceiveKey::from_journal(text)
    }

    /// An answer built from a stroke and a target cell, in words.
    pub fn built_shown(&self, stroke: usize, cell: usize) -> String {
        let words = self.strokes.get(stroke).map_or("", String::as_str);
        format!("{words}, {}", self.target(cell).shown())
    }

    /// The target of a cell.
    fn target(&self, cell: usize) -> Target {
        Target::new(self.lanes[cell % 3], DEPTHS[cell / 3])
    }
}

/// The depths of the rows, far row first.
const DEPTHS: [Depth; 3] = [Depth::Long, Depth::HalfLong, Depth::Short];

/// A right-hander's lanes, left to right as the player sees them across the table.
const LANES: [Lane; 3] = [Lane::Forehand, Lane::Middle, Lane::Backhand];

/// Puts a receive on a pad where it does not lie there yet; false when it finds no room.
pub(super) fn put(pad: &mut Vec<Receive>, receive: &Receive) -> bool {
    if pad.iter().any(|had| had.text() == receive.text()) {
        return true;
    }
    let here = pad.iter().filter(|had| home_cell(had) == home_cell(receive)).count();
    let has_room = pad.len() < MOST && here < AT_ONE_PLACE;
    if has_room {
        pad.push(receive.clone());
    }
    has_room
}

/// The column of a lane, against a right-hander; the middle when it is open.
const fn column(lane: Option<Lane>) -> usize {
    match lane {
        Some(Lane::WideForehand | Lane::Forehand) => 0,
        None | Some(Lane::Middle | Lane::Elbow) => 1,
        Some(Lane::WideBackhand | Lane::Backhand) => 2,
    }
}

/// Where a receive lies against a right-hander: by its target, or where its stroke usually lands
/// when that is open.
fn home_cell(receive: &Receive) -> usize {
    let usual = if receive.stroke == Stroke::Touch { Depth::Short } else { Depth::Long };
    let depth = receive.to.depth.unwrap_or(usual);
    let row = DEPTHS.iter().position(|&row| row == depth).unwrap_or(0);
    row * 3 + column(receive.to.lane)
}

/// The same cell against a left-hander, whose half is the other way round.
const fn turned(cell: usize, is_turned: bool) -> usize {
    if is_turned { cell / 3 * 3 + 2 - cell % 3 } else { cell }
}

/// The keys of a part of a cell: that of the cell, and of several parts that of the part.
fn keys(cell: usize, part: usize, parts: usize) -> String {
    let row = cell / 3 * 3;
    let second = match parts {
        1 => None,
        2 => Some(row + (cell % 3).min(1) + part),
        _ => Some(row + part),
    };
    std::iter::once(cell).chain(second).map(|cell| LETTERS[cell]).collect()
}

/// The stroke of a receive in as few words as no other of these says.
fn label(receive: &Receive, among: &[Receive]) -> String {
    let ways: [fn(&Receive) -> String; 3] = [
        |one| one.stroke.to_string(),
        Receive::stroke_shown,
        |one| Receive { to: Target::default(), ..one.bare() }.shown(),
    ];
    let tells = |say: &&fn(&Receive) -> String| {
        among.iter().filter(|other| say(other) == say(receive)).count() == 1
    };
    ways.iter().find(tells).unwrap_or(&ways[2])(receive)
}

/// The cells a target allows: an open lane or depth allows the whole row or column.
fn target_cells(target: Target, is_turned: bool) -> Vec<usize> {
    (0..9)
        .filter(|cell| target.depth.is_none_or(|depth| DEPTHS[cell / 3] == depth))
        .filter(|&cell| target.lane.is_none() || turned(cell, is_turned) % 3 == column(target.lane))
        .collect()
}

/// The strokes of the receives and, up to five, other usual ones, in the order of the vocabulary.
fn strokes_of(receives: &[Receive]) -> Vec<String> {
    let mut strokes: Vec<(Stroke, String)> = Vec::new();
    for receive in receives {
        let shown = receive.stroke_shown();
        if strokes.iter().all(|(_, had)| *had != shown) {
            strokes.push((receive.stroke, shown));
        }
    }
    for words in ["forehand push", "backhand flick", "forehand touch", "backhand block"] {
        if strokes.len() < FEWEST && strokes.iter().all(|(_, had)| had != words) {
            let stroke = Receive::from_text(words).map_or(Stroke::Push, |receive| receive.stroke);
            strokes.push((stroke, words.to_owned()));
        }
    }
    strokes.sort();
    strokes.into_iter().map(|(_, words)| words).collect()
}

/// Plausible receives that are not asked for: the player's own strokes to another target first,
/// then usual ones (common practice).
fn others(receives: &[Receive]) -> impl Iterator<Item = Receive> {
    let elsewhere = receives.iter().filter_map(|receive| {
        let lane = match receive.to.lane? {
            Lane::Middle | Lane::Elbow => Lane::Backhand,
            lane => lane.mirrored(),
        };
        Some(Receive { to: Target::new(lane, receive.to.depth?), ..receive.bare() })
    });
    let usual = [
        "forehand push to middle short",
        "backhand push to backhand long",
        "backhand banana_flick to forehand long",
        "backhand block to middle long",
        "forehand touch to forehand short",
        "backhand push to backhand short",
    ];
    elsewhere.chain(usual.into_iter().filter_map(|text| Receive::from_text(text).ok()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn receives(texts: &[&str]) -> Vec<Receive> {
        texts.iter().map(|text| text.parse().unwrap()).collect()
    }

    #[test]
    fn a_receive_lies_where_its_target_lies() {
        let asked =
            receives(&["forehand push to backhand long", "forehand touch to forehand short"]);
        let against_right = Palette::new(&asked, Hand::Right);
        let cell = |palette: &Palette, nth: usize| {
            palette.choices[palette.place_of(&asked[nth]).unwrap()].cell
        };
        // Far row, right column; near row, left column.
        assert_eq!((cell(&against_right, 0), cell(&against_right, 1)), (2, 6));
        let against_left = Palette::new(&asked, Hand::Left);
        assert_eq!((cell(&against_left, 0), cell(&against_left, 1)), (0, 8));
    }

    #[test]
    fn receives_at_one_place_divide_it_and_are_told_apart_by_few_words() {
        let asked = receives(&[
            "forehand push to backhand long",
            "backhand push to wide_backhand long",
            "backhand banana_flick to backhand long",
            "forehand flick early to backhand long",
            "forehand push to middle short",
        ]);
        for (hand, keys) in
            [(Hand::Right, ["eq", "ew", "ee", "x"]), (Hand::Left, ["qq", "qw", "qe", "x"])]
        {
            let palette = Palette::new(&asked, hand);
            let place = |nth: usize| palette.place_of(&asked[nth]);
            // The fourth at one place waits for another round.
            assert_eq!(place(3), None);
            let told = [0, 1, 2, 4].map(|nth| &palette.choices[place(nth).unwrap()]);
            assert_eq!(told.map(|choice| choice.keys.as_str()), keys);
            let labels = ["forehand push", "backhand push", "banana flick", "push"];
            assert_eq!(told.map(|choice| choice.label.as_str()), labels);
        }
    }

    #[test]
    fn the_second_key_is_the_same_one_or_its_neighbour() {
        for (to, keys) in
            [("forehand", ["qq", "qw"]), ("middle", ["ww", "we"]), ("backhand", ["ew", "ee"])]
        {
            let texts = ["push", "flick"].map(|stroke| format!("forehand {stroke} to {to} long"));
            let palette =
                Palette::new(&receives(&texts.each_ref().map(String::as_str)), Hand::Right);
            let cell = cell_of_key(keys[0].chars().next().unwrap()).unwrap();
            for (part, keys) in keys.iter().enumerate() {
                let first = palette.first_in(cell).unwrap();
                assert_eq!(palette.choices[first + part].keys, *keys);
                let second = cell_of_key(keys.chars().last().unwrap()).unwrap();
                assert_eq!(palette.within(cell, second), Some(first + part));
            }
            assert_eq!(palette.within(cell, cell + 3), None, "another row chooses nothing here");
        }
    }

    #[test]
    fn there_are_five_to_nine_choices_each_with_keys_of_its_own() {
        let to = ["forehand long", "middle long", "backhand short", "middle half_long"];
        let stroke = |nth: usize| Stroke::ALL[nth % Stroke::ALL.len()].word();
        let many: Vec<String> =
            (0..12).map(|nth| format!("backhand {} to {}", stroke(nth), to[nth % 4])).collect();
        let many: Vec<&str> = many.iter().map(String::as_str).collect();
        for count in 0..=many.len() {
            let palette = Palette::new(&receives(&many[..count]), Hand::Right);
            assert_eq!(palette.choices.len(), count.clamp(FEWEST, MOST), "{count}");
            let mut keys: Vec<_> = palette.choices.iter().map(|choice| &choice.keys).collect();
            keys.sort();
            keys.dedup();
            assert_eq!(keys.len(), palette.choices.len());
            let asked = palette.choices.iter().filter(|choice| !choice.is_other).count();
            assert_eq!(asked, count.min(MOST));
        }
    }

    #[test]
    fn letters_and_keypad_lie_the_same_way() {
        assert_eq!(cell_of_key('q'), cell_of_key('7'));
        assert_eq!(cell_of_key('S'), Some(4));
        assert_eq!(cell_of_key('c'), cell_of_key('3'));
        assert_eq!(cell_of_key('y'), cell_of_key('z'));
        assert_eq!(cell_of_key('p'), None);
    }

    #[test]
    fn an_open_target_allows_every_cell_that_fits() {
        let asked = receives(&["forehand push to backhand", "backhand block"]);
        let palette = Palette::new(&asked, Hand::Right);
        let targets = |nth: usize| &palette.choices[palette.place_of(&asked[nth]).unwrap()].targets;
        assert_eq!(targets(0), &[2, 5, 8]);
        assert_eq!(targets(1).len(), 9);
    }

    #[test]
    fn a_built_answer_is_a_receive_in_its_canonical_text() {
        let asked = receives(&["forehand push early heavy to backhand long"]);
        let palette = Palette::new(&asked, Hand::Right);
        let push = palette.strokes.iter().position(|stroke| stroke == "forehand push").unwrap();
        assert_eq!(palette.built(push, 2).as_str(), "forehand push early heavy to backhand long");
        assert_eq!(palette.built(push, 6).as_str(), "forehand push to forehand short");
    }
}
