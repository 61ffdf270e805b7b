//! Questions with short answers: a number, a word, the beginning of a word, or Enter for "not
//! known".
//!
//! In a terminal the line is read with its own editing keys; without one from the input, so that
//! the same questions run under a script. When the input ends, every later question counts as left
//! open.

use std::collections::VecDeque;
use std::mem;

use crate::base::text;
use crate::base::words::{Word, spelled};
use crate::cli::prompt::prompt;
use crate::cli::{Failure, Result, World};
use crate::deck::Deck;
use crate::game::ServeId;

/// Asks, and remembers whether anybody still answers.
///
/// Questions come in blocks: what is asked together and takes effect together. `<` leaves the
/// block at hand with [`Failure::OneBack`]; it, or the one before, is then put once more, with all
/// answers but the last given again.
#[derive(Debug, Default)]
pub struct Asker {
    ended: bool,
    /// Why a question with choices cannot stay open.
    needed: Option<&'static str>,
    /// The answers taken in the block at hand.
    given: Vec<String>,
    /// Those of the blocks before it.
    before: Vec<Vec<String>>,
    /// Answers that are given once more without a question.
    replay: VecDeque<String>,
}

/// What is answered to go one question back.
const BACK: &str = "<";

/// What asks for the meaning of the choices.
const MEANING: &str = "?";

/// Columns before the choices of a question.
const LEAD: usize = 13;

impl Asker {
    /// Asks for what must be chosen, and says why; none is chosen only when nobody answers any
    /// more.
    pub fn needing(why: &'static str) -> Self {
        Self { needed: Some(why), ..Self::default() }
    }

    /// True when nobody answers any more.
    pub const fn has_ended(&self) -> bool {
        self.ended
    }

    /// Puts one block of questions until it is answered to its end.
    pub fn block<T>(&mut self, mut ask: impl FnMut(&mut Self) -> Result<T>) -> Result<T> {
        loop {
            match ask(self) {
                Err(Failure::OneBack) => self.step_back(0),
                asked => return asked,
            };
        }
    }

    /// The place of the block that comes after this one: the next, or where `<` leads.
    pub fn go_on(&mut self, place: usize, asked: Result) -> Result<usize> {
        match asked {
            Err(Failure::OneBack) => return Ok(self.step_back(place)),
            asked => asked?,
        }
        self.replay.clear();
        self.before.push(mem::take(&mut self.given));
        Ok(place + 1)
    }

    /// The place of the block that has the question before, whose answer is taken back.
    pub fn step_back(&mut self, mut place: usize) -> usize {
        while self.given.is_empty()
            && let Some(before) = self.before.pop()
        {
            self.given = before;
            place = place.saturating_sub(1);
        }
        self.given.pop();
        self.replay = self.given.drain(..).collect();
        place
    }

    /// The answer just taken is none.
    pub fn refuse(&mut self) {
        self.given.pop();
    }

    /// Says what belongs to the next question, unless it is answered already or nobody answers.
    pub fn say(&self, world: &mut World<'_>, words: &str) -> Result {
        if self.replay.is_empty() && !self.ended { world.note(words, "  ") } else { Ok(()) }
    }

    /// One line of words; none when it is left open.
    pub fn line(&mut self, world: &mut World<'_>, question: &str) -> Result<Option<String>> {
        if self.ended {
            return Ok(None);
        }
        if let Some(answer) = self.replay.pop_front() {
            self.given.push(answer.clone());
            return Ok((!answer.is_empty()).then_some(answer));
        }
        loop {
            let answer = if world.is_terminal {
                let typed = prompt(question)?;
                self.ended = typed.is_none();
                typed.unwrap_or_default()
            } else {
                write!(world.err, "{question}: ")?;
                let mut line = String::new();
                self.ended = !world.read_line(&mut line)?;
                writeln!(world.err)?;
                line
            };
            let answer = text::one_line(&answer);
            if answer != BACK {
                self.given.push(answer.clone());
                return Ok((!answer.is_empty()).then_some(answer));
            }
            if !self.given.is_empty() || self.before.iter().any(|block| !block.is_empty()) {
                return Err(Failure::OneBack);
            }
            writeln!(world.err, "    this is the first question")?;
        }
    }

    /// One line that can be read; asked again, with the reason, until it can.
    pub fn read<T>(
        &mut self,
        world: &mut World<'_>,
        question: &str,
        mut read: impl FnMut(&str) -> Result<T, String>,
    ) -> Result<Option<T>> {
        while let Some(given) = self.line(world, question)? {
            match read(&given) {
                Ok(value) => return Ok(Some(value)),
                Err(why) => {
                    self.refuse();
                    world.note(&format!("    {why}"), "    ")?;
                }
            }
        }
        Ok(None)
    }

    /// One of these serves, as it is called or meant in this deck; what is there now when it is
    /// left open.
    pub fn serve(
        &mut self,
        world: &mut World<'_>,
        label: &str,
        (deck, serves): (&Deck, &[ServeId]),
        now: Option<&ServeId>,
    ) -> Result<Option<ServeId>> {
        let called: Vec<String> = serves.iter().map(|id| deck.called(id)).collect();
        let meant = |given: &str| {
            // A number is one of the list.
            let is_word = given.parse::<usize>().is_err();
            let serve =
                deck.serve_meant(given).filter(|serve| is_word && serves.contains(&serve.id));
            serve.map(|serve| serve.id.clone())
        };
        let is_now = now.map(|id| deck.called(id));
        let is_meant = |given: &str| meant(given).is_some();
        let said = self.choose_or(world, label, &called, &[], is_now.as_deref(), is_meant)?;
        let chosen = said.and_then(|said| {
            let place = called.iter().position(|called| *called == said);
            place.map(|place| serves[place].clone()).or_else(|| meant(&said))
        });
        Ok(chosen.or_else(|| now.cloned()))
    }

    /// One of several words; the place of the one chosen, none when it is left open.
    pub fn choose(
        &mut self,
        world: &mut World<'_>,
        label: &str,
        choices: &[String],
    ) -> Result<Option<usize>> {
        let said = self.choose_or(world, label, choices, &[], None, |_| false)?;
        Ok(said.and_then(|said| choices.iter().position(|choice| *choice == said)))
    }

    /// A word of a vocabulary; what is there now when it is left open.
    pub fn word<T: Word>(
        &mut self,
        world: &mut World<'_>,
        label: &str,
        now: Option<T>,
    ) -> Result<Option<T>> {
        let is_said = |given: &str| given.parse::<T>().is_ok();
        let (choices, meanings) = (choices::<T>(), meanings::<T>());
        let shown = now.map(T::for_people);
        let said = self.choose_or(world, label, &choices, &meanings, shown, is_said)?;
        Ok(said.and_then(|said| said.parse().ok()).or(now))
    }

    /// One of several words, or other words that answer the question as they stand; none when it
    /// is left as it is now. `?` says what each means, where that is known.
    pub fn choose_or(
        &mut self,
        world: &mut World<'_>,
        label: &str,
        choices: &[String],
        meanings: &[(&str, String)],
        now: Option<&str>,
        or: impl Fn(&str) -> bool,
    ) -> Result<Option<String>> {
        if self.ended {
            return Ok(None);
        }
        // A number and its word stay on one line.
        let numbered = choices.iter().zip(1..).map(|(choice, number)| {
            format!("{number} {choice}").replace(' ', "\u{a0}").replace('-', "\u{2011}")
        });
        let numbered: Vec<_> = numbered.collect();
        let shown = format!("  {label:<width$}{}", numbered.join("  "), width = LEAD - 2);
        let shown = text::wrap(&shown, world.width.min(80), &" ".repeat(LEAD));
        if self.replay.is_empty() {
            writeln!(world.err, "{}", shown.replace('\u{a0}', " ").replace('\u{2011}', "-"))?;
        }
        let question = with_now(&format!("  {label}"), now);
        loop {
            let given = self.line(world, &question)?;
            if self.ended {
                return Ok(None);
            }
            if given.as_deref() == Some(MEANING) {
                self.refuse();
                for choice in choices {
                    let meaning = meanings.iter().find(|(word, _)| word == choice);
                    let meaning = meaning.map_or("", |(_, meaning)| meaning.as_str());
                    world.note(&format!("    {choice}  {meaning}"), "        ")?;
                }
                continue;
            }
            let Some(given) = given.filter(|given| !is_not_known(given)) else {
                let Some(why) = self.needed.filter(|_| now.is_none()) else { return Ok(None) };
                self.refuse();
                writeln!(world.err, "    this one cannot stay open: {why}")?;
                continue;
            };
            if or(&given) {
                return Ok(Some(given));
            }
            match pick(&given, choices) {
                Ok(place) => return Ok(Some(choices[place].clone())),
                Err(why) => {
                    self.refuse();
                    let open = match now {
                        Some(_) => "; Enter leaves it as it is",
                        None if self.needed.is_some() => "",
                        None => "; Enter leaves it open",
                    };
                    world.note(&format!("    {why}{open}"), "    ")?;
                }
            }
        }
    }

    /// Yes or no; Enter is the answer in capitals.
    pub fn yes(&mut self, world: &mut World<'_>, question: &str, otherwise: bool) -> Result<bool> {
        let keys = if otherwise { "[Y/n]" } else { "[y/N]" };
        loop {
            let Some(given) = self.line(world, &format!("{question} {keys}"))? else {
                // Nobody there agrees to nothing.
                return Ok(otherwise && !self.ended);
            };
            match given.to_lowercase().as_str() {
                "y" | "yes" => return Ok(true),
                "n" | "no" => return Ok(false),
                _ => {
                    self.refuse();
                    writeln!(world.err, "    y or n")?;
                }
            }
        }
    }
}

/// A question with what is there now: what Enter keeps.
pub fn with_now(question: &str, now: Option<&str>) -> String {
    now.map_or_else(|| question.to_owned(), |now| format!("{question} (now: {now})"))
}

/// Whether an answer says that the player does not know.
fn is_not_known(given: &str) -> bool {
    let plain = text::plain_word(&given.replace(['\'', '’', '.', '!'], ""));
    matches!(
        plain.trim_start_matches("i_"),
        "??" | "dont_know" | "do_not_know" | "not_known" | "unknown" | "no_idea" | "not_sure"
    )
}

/// Whether each word given begins a word of the choice, in order: `short` for `fell short`, `into
/// net`.
fn begins_words(choice: &str, given: &str) -> bool {
    let mut words = choice.split('_');
    !given.is_empty() && given.split('_').all(|part| words.any(|word| word.starts_with(part)))
}

/// The choice meant: its number, its word, or the beginning of only one.
fn pick(given: &str, choices: &[String]) -> Result<usize, String> {
    if let Ok(number) = given.parse::<usize>() {
        let place = number.checked_sub(1).filter(|place| *place < choices.len());
        return place.ok_or_else(|| format!("there is no {number}, only 1 to {}", choices.len()));
    }
    let words: Vec<String> = choices.iter().map(|choice| text::plain_word(choice)).collect();
    // A short name such as `bh-short-fh` is meant as it stands, its wings not written out.
    let as_given = text::plain_word(given);
    let is_begun = words.iter().any(|word| word.starts_with(&as_given));
    let plain = if is_begun { as_given } else { spelled(given) };
    if let Some(place) = words.iter().position(|word| *word == plain) {
        return Ok(place);
    }
    let all = |is_meant: &dyn Fn(&str) -> bool| -> Vec<usize> {
        (0..words.len()).filter(|&place| is_meant(&words[place])).collect()
    };
    let mut begun = all(&|word| word.starts_with(&plain));
    if begun.is_empty() {
        begun = all(&|word| begins_words(word, &plain));
    }
    let shown: Vec<&str> = choices.iter().map(String::as_str).collect();
    match (&begun[..], text::closest(given, &shown)) {
        ([place], _) => Ok(*place),
        ([], None) => Err(format!("`{given}` is not among them")),
        ([], Some(word)) => Err(format!("`{given}` is not among them; did you mean `{word}`?")),
        _ => {
            let several: Vec<&str> = begun.iter().map(|&place| shown[place]).collect();
            Err(format!("`{given}` may be {}", several.join(" or ")))
        }
    }
}

/// What each word of a vocabulary means.
pub fn meanings<T: Word>() -> Vec<(&'static str, String)> {
    T::EVERY.iter().map(|word| (word.for_people(), word.meaning())).collect()
}

/// The words of a vocabulary as choices.
pub fn choices<T: Word>() -> Vec<String> {
    T::EVERY.iter().map(|word| word.for_people().to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn motions() -> Vec<String> {
        choices::<crate::game::MotionName>()
    }

    #[test]
    fn a_number_a_word_or_its_beginning_is_enough() {
        assert_eq!(pick("2", &motions()), Ok(1));
        assert_eq!(pick("Reverse-Pendulum", &motions()), Ok(2));
        assert_eq!(pick("pend", &motions()), Ok(1));
        assert_eq!(pick("b", &motions()), Ok(6));
        assert_eq!(pick("wide fh", &choices::<crate::game::Lane>()), Ok(0));
    }

    #[test]
    fn a_short_name_is_not_written_out() {
        let names = ["bh-short-fh", "bh-fast-bh"].map(str::to_owned);
        assert_eq!(pick("bh-short-fh", &names), Ok(0));
        assert_eq!(pick("bh-f", &names), Ok(1));
    }

    #[test]
    fn any_word_of_a_choice_or_its_beginning_is_enough_too() {
        let went = choices::<crate::game::UpOrDown>();
        assert_eq!(pick("short", &went), Ok(2));
        assert_eq!(pick("into net", &went), Ok(1));
        assert_eq!(pick("the ne", &went), Ok(1));
        assert!(pick("net into", &went).is_err());
    }

    #[test]
    fn what_may_be_two_things_is_asked_again_with_both() {
        let why = pick("rev", &motions()).unwrap_err();
        assert_eq!(why, "`rev` may be reverse pendulum or reverse tomahawk");
        assert!(pick("pendulm", &motions()).unwrap_err().contains("did you mean `pendulum`?"));
        assert_eq!(pick("12", &motions()), Err("there is no 12, only 1 to 9".to_owned()));
    }
}
