//! Questions with short answers: a number, a word, the beginning of a word, or Enter for "not
//! known".
//!
//! In a terminal the line is read with its own editing keys; without one from the input, so that
//! the same questions run under a script. When the input ends, every later question counts as left
//! open.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};

use dialoguer::theme::SimpleTheme;
use dialoguer::{Confirm, Input};

use crate::base::text;
use crate::base::words::{Word, spelled};
use crate::cli::{Failure, Result, World};

/// Asks, and remembers whether anybody still answers.
#[derive(Debug, Default)]
pub struct Asker {
    ended: bool,
    /// Whether the player wants the questions at hand once more.
    again: bool,
    /// Why a question with choices cannot stay open.
    needed: Option<&'static str>,
    /// The answers taken since the questions at hand began.
    given: Vec<String>,
    /// Answers that are given once more without a question.
    replay: VecDeque<String>,
}

/// What is answered to go one question back.
const AGAIN: &str = "<";

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

    /// Whether the player has just asked to begin once more.
    pub const fn goes_back(&self) -> bool {
        self.again
    }

    /// Whether the player asked to begin once more; the questions since then were not put.
    pub const fn takes_again(&mut self) -> bool {
        std::mem::replace(&mut self.again, false)
    }

    /// Begins questions of which `<` goes one back.
    pub fn begin(&mut self) {
        self.given.clear();
        self.replay.clear();
    }

    /// One question back: all answers but the last are given once more.
    pub fn step_back(&mut self) {
        self.given.pop();
        self.replay = self.given.drain(..).collect();
    }

    /// One line of words; none when it is left open.
    pub fn line(&mut self, world: &mut World<'_>, question: &str) -> Result<Option<String>> {
        if self.ended || self.again {
            return Ok(None);
        }
        if let Some(answer) = self.replay.pop_front() {
            self.given.push(answer.clone());
            return Ok((!answer.is_empty()).then_some(answer));
        }
        let answer = if world.is_terminal {
            prompt(question, None)?
        } else {
            write!(world.err, "{question}: ")?;
            let mut line = String::new();
            self.ended = !world.read_line(&mut line)?;
            writeln!(world.err)?;
            line
        };
        let answer = text::one_line(&answer);
        if answer == AGAIN {
            self.again = true;
            return Ok(None);
        }
        self.given.push(answer.clone());
        Ok((!answer.is_empty()).then_some(answer))
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
                    self.given.pop();
                    world.note(&format!("    {why}"), "    ")?;
                }
            }
        }
        Ok(None)
    }

    /// One of several words; the place of the one chosen, none when it is left open.
    pub fn choose(
        &mut self,
        world: &mut World<'_>,
        label: &str,
        choices: &[String],
    ) -> Result<Option<usize>> {
        let said = self.choose_or(world, label, choices, &[], |_| false)?;
        Ok(said.and_then(|said| choices.iter().position(|choice| *choice == said)))
    }

    /// A word of a vocabulary; none when it is left open.
    pub fn word<T: Word>(&mut self, world: &mut World<'_>, label: &str) -> Result<Option<T>> {
        let is_said = |given: &str| given.parse::<T>().is_ok();
        let said = self.choose_or(world, label, &choices::<T>(), &meanings::<T>(), is_said)?;
        Ok(said.and_then(|said| said.parse().ok()))
    }

    /// One of several words, or other words that answer the question as they stand; `?` says what
    /// each means, where that is known.
    pub fn choose_or(
        &mut self,
        world: &mut World<'_>,
        label: &str,
        choices: &[String],
        meanings: &[(&str, String)],
        or: impl Fn(&str) -> bool,
    ) -> Result<Option<String>> {
        if self.again {
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
        loop {
            let given = self.line(world, &format!("  {label}"))?;
            if self.ended || self.again {
                return Ok(None);
            }
            if given.as_deref() == Some(MEANING) {
                self.given.pop();
                for choice in choices {
                    let meaning = meanings.iter().find(|(word, _)| word == choice);
                    let meaning = meaning.map_or("", |(_, meaning)| meaning.as_str());
                    world.note(&format!("    {choice}  {meaning}"), "        ")?;
                }
                continue;
            }
            let Some(given) = given.filter(|given| !is_not_known(given)) else {
                let Some(why) = self.needed else { return Ok(None) };
                self.given.pop();
                writeln!(world.err, "    this one cannot stay open: {why}")?;
                continue;
            };
            if or(&given) {
                return Ok(Some(given));
            }
            match pick(&given, choices) {
                Ok(place) => return Ok(Some(choices[place].clone())),
                Err(why) => {
                    self.given.pop();
                    let open = if self.needed.is_none() { "; Enter leaves it open" } else { "" };
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
                    self.given.pop();
                    writeln!(world.err, "    y or n")?;
                }
            }
        }
    }
}

/// A line typed at the terminal; the `usual` one on Enter alone.
pub fn prompt(question: &str, usual: Option<&str>) -> Result<String> {
    let input = Input::<String>::with_theme(&SimpleTheme)
        .with_prompt(text::printed(question))
        .allow_empty(true);
    asked(|| match usual {
        Some(usual) => input.default(usual.to_owned()).interact_text(),
        None => input.interact_text(),
    })
}

/// Yes or no, by y or n (the rest of a typed word is passed over) and Enter; `usual` on Enter
/// alone.
///
/// # Errors
/// [`Failure::Interrupted`] on Ctrl-C.
pub fn confirm(question: &str, usual: bool) -> Result<bool> {
    let confirm = Confirm::with_theme(&SimpleTheme)
        .with_prompt(text::printed(question))
        .default(usual)
        .wait_for_newline(true);
    asked(|| confirm.interact())
}

/// Asks. Ctrl-C then ends the question and not the program, which has something to say of what is
/// kept. A prompt that ends early leaves the cursor hidden: it is shown again whatever happened.
fn asked<T>(ask: impl FnOnce() -> dialoguer::Result<T>) -> Result<T> {
    static ENDS_ALL: OnceLock<Arc<AtomicBool>> = OnceLock::new();
    let ends_all = ENDS_ALL.get_or_init(|| {
        let ends_all = Arc::new(AtomicBool::new(true));
        // Where it cannot be registered, Ctrl-C ends the program as everywhere.
        let _ = signal_hook::flag::register_conditional_default(
            signal_hook::consts::SIGINT,
            Arc::clone(&ends_all),
        );
        ends_all
    });
    ends_all.store(false, Ordering::SeqCst);
    let ended = ask();
    ends_all.store(true, Ordering::SeqCst);
    ended.map_err(|dialoguer::Error::IO(error)| {
        // When even that fails there is no terminal left to mend.
        let _ = console::Term::stderr().show_cursor();
        Failure::from(error)
    })
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
