//! The palette: the receives that can be given with one key, laid out where their targets lie.
//!
//! Nine keys in a square are the opponent's half of the table as the player looks at it: the far
//! row is long, the near row short, the columns are forehand, middle and backhand of the
//! opponent, so a left-hander's half is the other way round. Letters (`q w e`, `a s d`, `z x c`)
//! and the numeric keypad lie the same way. A receive that finds its place taken goes to the
//! nearest free one of its column, and to another column only when that is full. The palette
//! depends on the deck alone, so a key means the same all session and mostly all season.

use serde::Serialize;

use crate::game::{Depth, Hand, Lane, Receive, ReceiveKey, Stroke, Target};

/// Fewest receives on a palette: with fewer the key could be guessed.
pub const FEWEST: usize = 5;
/// Most receives on a palette: the square is full.
pub const MOST: usize = 9;

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
    /// The receive's canonical text.
    pub receive: ReceiveKey,
    /// The receive in words.
    pub shown: String,
    /// The receive in words without its target, for where there is little room.
    pub brief: String,
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
    /// Receives beyond the ninth are left out.
    pub fn new(receives: &[Receive], opponent: Hand) -> Self {
        let mut kept: Vec<(Receive, bool)> = Vec::new();
        let asked = receives.iter().map(|receive| (receive.bare(), false));
        for (receive, is_other) in asked.chain(others(receives).map(|other| (other, true))) {
            let most = if is_other { FEWEST } else { MOST };
            if kept.len() < most && kept.iter().all(|(had, _)| had.text() != receive.text()) {
                kept.push((receive, is_other));
            }
        }
        let lanes = lanes_seen(opponent);
        let strokes = strokes_of(&kept);
        let mut free = [true; 9];
        let mut choices = Vec::new();
        for (receive, is_other) in kept {
            let Some(cell) = nearest_free(home_cell(&receive, lanes), free) else { break };
            free[cell] = false;
            let stroke = receive.stroke_shown();
            choices.push(PaletteChoice {
                cell,
                receive: ReceiveKey::from_receive(&receive),
                shown: receive.shown(),
                stroke: strokes.iter().position(|own| *own == stroke).unwrap_or_default(),
                targets: target_cells(receive.to, lanes),
                brief: Receive { to: Target::default(), ..receive }.shown(),
                is_other,
            });
        }
        choices.sort_by_key(|choice| choice.cell);
        Self { choices, strokes, lanes }
    }

    /// The place of this receive among the choices.
    pub fn place_of(&self, receive: &Receive) -> Option<usize> {
        let key = ReceiveKey::from_receive(receive);
        self.choices.iter().position(|choice| choice.receive == key)
    }

    /// The place of the choice in this cell.
    pub fn place_in_cell(&self, cell: usize) -> Option<usize> {
        self.choices.iter().position(|choice| choice.cell == cell)
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

/// The opponent's lanes, left to right as the player sees them across the table.
fn lanes_seen(opponent: Hand) -> [Lane; 3] {
    match opponent {
        // Facing the player, a right-hander has the forehand on the player's left.
        Hand::Right => [Lane::Forehand, Lane::Middle, Lane::Backhand],
        Hand::Left => [Lane::Backhand, Lane::Middle, Lane::Forehand],
    }
}

/// The column of a lane; the middle when it is open.
fn column(lane: Option<Lane>, lanes: [Lane; 3]) -> usize {
    let plain = match lane {
        None | Some(Lane::Middle | Lane::Elbow) => Lane::Middle,
        Some(Lane::WideForehand | Lane::Forehand) => Lane::Forehand,
        Some(Lane::WideBackhand | Lane::Backhand) => Lane::Backhand,
    };
    lanes.iter().position(|&seen| seen == plain).unwrap_or(1)
}

/// Where a receive lies: by its target, or where its stroke usually lands when that is open.
fn home_cell(receive: &Receive, lanes: [Lane; 3]) -> usize {
    let usual = if receive.stroke == Stroke::Touch { Depth::Short } else { Depth::Long };
    let depth = receive.to.depth.unwrap_or(usual);
    let row = DEPTHS.iter().position(|&row| row == depth).unwrap_or(0);
    row * 3 + column(receive.to.lane, lanes)
}

/// The free cell nearest to `home`, in its own column first: a key that lies under a lane must not
/// mean another one while there is room.
fn nearest_free(home: usize, free: [bool; 9]) -> Option<usize> {
    (0..9).filter(|&cell| free[cell]).min_by_key(|&cell| {
        let rows = (cell / 3).abs_diff(home / 3);
        let columns = (cell % 3).abs_diff(home % 3);
        (columns * 3 + rows, cell)
    })
}

/// The cells a target allows: an open lane or depth allows the whole row or column.
fn target_cells(target: Target, lanes: [Lane; 3]) -> Vec<usize> {
    (0..9)
        .filter(|cell| target.depth.is_none_or(|depth| DEPTHS[cell / 3] == depth))
        .filter(|cell| target.lane.is_none() || cell % 3 == column(target.lane, lanes))
        .collect()
}

/// The strokes of the receives and, up to five, other usual ones, in the order of the vocabulary.
fn strokes_of(receives: &[(Receive, bool)]) -> Vec<String> {
    let mut strokes: Vec<(Stroke, String)> = Vec::new();
    for (receive, _) in receives {
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
        "forehand flick to backhand long",
        "backhand block to middle long",
        "forehand slow_loop to backhand long",
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
    fn a_taken_place_is_left_for_another_depth_before_another_lane() {
        let asked = receives(&[
            "forehand slow_loop to wide_backhand long",
            "backhand push to backhand long",
            "forehand push heavy to backhand long",
        ]);
        let palette = Palette::new(&asked, Hand::Right);
        for receive in &asked {
            let choice = &palette.choices[palette.place_of(receive).unwrap()];
            assert_eq!(choice.cell % 3, 2, "{}", choice.shown);
        }
    }

    #[test]
    fn there_are_five_to_nine_choices_each_with_a_key_of_its_own() {
        let many: Vec<String> = Stroke::ALL
            .iter()
            .map(|stroke| format!("backhand {} to middle long", stroke.word()))
            .collect();
        let many: Vec<&str> = many.iter().map(String::as_str).collect();
        for count in 0..=many.len() {
            let palette = Palette::new(&receives(&many[..count]), Hand::Right);
            assert_eq!(palette.choices.len(), count.clamp(FEWEST, MOST), "{count}");
            let mut cells: Vec<_> = palette.choices.iter().map(|choice| choice.cell).collect();
            cells.dedup();
            assert_eq!(cells.len(), palette.choices.len());
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
