//! The picture in lines, each said once: for a screen reader, a pipe, a file.

use crate::base::text;
use crate::cli::{Failure, World};
use crate::drill::{Call, Phase, Picture};
use crate::page::drill::{reasons, verdict_shown};

/// Remembers what has been said.
#[derive(Debug, Default)]
pub(super) struct PictureLines {
    last: Option<(Phase, usize, usize)>,
    has_keys: bool,
    /// Whether a key is waited for after each result.
    waits: bool,
    /// How a line ends.
    end: &'static str,
}

impl PictureLines {
    pub(super) fn new(waits: bool, end: &'static str) -> Self {
        Self { waits, end, ..Self::default() }
    }

    /// Prints what is new in the picture, a line each.
    pub(super) fn print(
        &mut self,
        picture: &Picture,
        world: &mut World<'_>,
    ) -> Result<(), Failure> {
        let lines = self.lines(picture);
        for line in &lines {
            for part in text::wrap(line, world.width, "  ").lines() {
                write!(world.out, "{part}{}", self.end)?;
            }
        }
        if !lines.is_empty() {
            world.out.flush()?;
        }
        Ok(())
    }

    /// Says whether an answer was taken back.
    pub(super) fn print_undo(&self, is_taken: bool, world: &mut World<'_>) -> Result<(), Failure> {
        let words = if is_taken {
            "Taken back; its ball comes again soon."
        } else {
            "There is nothing to take back now."
        };
        write!(world.out, "{words}{}", self.end)?;
        Ok(world.out.flush()?)
    }

    /// The lines a picture adds.
    fn lines(&mut self, picture: &Picture) -> Vec<String> {
        let moment = (picture.phase, picture.answers, picture.ball_number);
        // A let is no answer: the toss comes again and is said again, because feedback lay
        // between.
        if self.last == Some(moment) {
            return Vec::new();
        }
        self.last = Some(moment);
        match picture.phase {
            Phase::Ready => self.ready(picture),
            Phase::Call => call(picture),
            Phase::Toss => vec![match picture.of_turn {
                0 => format!("Ball {}. Toss.", picture.ball_number),
                turn => format!("Ball {}, serve {turn} of 2. Toss.", picture.ball_number),
            }],
            Phase::Flight => vec![cue(picture)],
            Phase::Shadow => vec![format!("Ball {}. {}", picture.ball_number, cue(picture))],
            Phase::Own => vec![format!(
                "It was: {}. r right, l late, w wrong.",
                picture.shadow_answer.as_deref().unwrap_or_default()
            )],
            Phase::Stroke => {
                let keys = if self.has_keys { String::new() } else { menu(picture) };
                self.has_keys = true;
                let ball = format!("Ball {}. {}", picture.ball_number, cue(picture));
                vec![ball, format!("Stroke? {keys}").trim_end().to_owned()]
            }
            Phase::Target => vec![format!(
                "{}. Where to? The square: far row long, near row short. u: another stroke.",
                capital(picture.stroke.as_deref().unwrap_or_default())
            )],
            Phase::What => {
                let question = format!("What was it? {}", menu(picture));
                picture.words.iter().cloned().chain([question]).collect()
            }
            Phase::Do => vec![format!("It was: {}. What do you do?", cue(picture))],
            Phase::Feedback => {
                let mut lines = feedback(picture);
                if self.waits {
                    let can_undo = picture.feedback.as_ref().is_some_and(|told| told.can_undo);
                    let undo = if can_undo { " u: take it back." } else { "" };
                    lines.push(format!("Space: next ball.{undo}"));
                }
                lines
            }
            Phase::Between if self.waits => vec!["Your two serves. Space: next ball.".to_owned()],
            Phase::Between => vec!["Your two serves.".to_owned()],
            Phase::Paused => vec!["Paused. Space or p goes on, Esc ends.".to_owned()],
            Phase::Done => {
                let window = if picture.tempo_permille.is_some() { " in the window" } else { "" };
                vec![format!("Over: {} of {} right{window}.", picture.in_window, picture.answers)]
            }
        }
    }

    fn ready(&mut self, picture: &Picture) -> Vec<String> {
        self.has_keys = false;
        let mut lines = vec![picture.opponent.clone()];
        if let Some(under) = &picture.under {
            lines.push(format!("Under the switch {under}."));
        }
        if let Some(switch) = &picture.switch {
            lines.push(format!(
                "Switch round: {switch}. It is called when four in five of the first balls are in the window."
            ));
        }
        lines.extend(picture.palette.iter().map(|cell| format!("{}: {}", cell.key, cell.words)));
        lines.push("Keys act at once, without Enter. u takes a slip back, p pauses.".to_owned());
        lines.push("Space begins.".to_owned());
        lines
    }
}

fn cue(picture: &Picture) -> String {
    picture.words.clone().unwrap_or_else(|| "Contact.".to_owned())
}

fn menu(picture: &Picture) -> String {
    let lines: Vec<_> =
        picture.menu.iter().map(|line| format!("{} {}", line.key, line.words)).collect();
    lines.join("; ")
}

fn call(picture: &Picture) -> Vec<String> {
    let Some(card) = &picture.call else { return Vec::new() };
    let mut lines = vec![match card.call {
        Call::Stay => "Call: stay. Everything as it is.".to_owned(),
        Call::Switch => format!("Call: switch, {}.", card.name),
        Call::Back => format!("Call: back from {}.", card.name),
    }];
    if card.call == Call::Switch {
        lines.extend(card.cue.as_ref().map(|cue| format!("Because: {cue}.")));
    }
    for (serve, old, new) in &card.changes {
        lines.push(format!("{serve}. Until now: {old}. From now: {new}."));
    }
    lines.push("Space goes on.".to_owned());
    lines
}

fn feedback(picture: &Picture) -> Vec<String> {
    let Some(feedback) = &picture.feedback else { return Vec::new() };
    let verdict = capital(&verdict_shown(feedback));
    if feedback.verdict.is_let() {
        return vec![format!("{verdict}. It comes again soon.")];
    }
    let mut lines = Vec::new();
    if let Some((serve, is_recognised)) = &feedback.was {
        let read = if *is_recognised { "Recognised" } else { "Not recognised" };
        lines.push(format!("{read}: {serve}."));
    }
    let time = match (feedback.ms, feedback.window_ms) {
        (Some(ms), Some(window_ms)) => format!(", {ms} ms of {window_ms}"),
        _ => String::new(),
    };
    lines.push(format!("{verdict}{time}. {}.", feedback.right));
    lines.extend(feedback.given.as_ref().map(|given| format!("Given: {given}.")));
    let reasons = reasons(&feedback.reason);
    lines.extend(reasons.iter().map(|(name, words)| format!("{}: {words}.", capital(name))));
    lines
}

/// The text with a capital at its beginning.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
