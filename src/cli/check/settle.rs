//! `check --settle`: goes through the copies of files one at a time, says what differs, and asks
//! what to keep. Without a terminal it only lists.

use crate::base::{Day, text};
use crate::cli::ask::Asker;
use crate::cli::rehearse::waiting;
use crate::cli::{Failure, Result, World, phone};
use crate::store::{Compared, Difference, FileCopy, Home, Settle, Trouble, failed};

/// Differences that are said of one copy.
const MOST_SAID: usize = 20;

/// Settles the copies; those that are left for later are named.
///
/// # Errors
/// [`Failure`] when copies are left, or the disk refuses.
pub(super) fn run(home: &Home, today: Day, world: &mut World<'_>) -> Result {
    let copies = home.copies()?;
    let mut left = 0;
    for copy in &copies {
        match settled(home, copy, today, world) {
            Ok(true) => {}
            Ok(false) => left += 1,
            // The others are settled all the same.
            Err(Failure::Findings(findings)) => {
                world.tell(&findings)?;
                left += 1;
            }
            Err(other) => return Err(other),
        }
    }
    if left == 0 {
        let said = match copies.len() {
            0 => "no copies are left here".to_owned(),
            settled => format!("{} settled, none is left", text::count(settled, "file")),
        };
        return Ok(writeln!(world.out, "{said}")?);
    }
    let how = if world.is_terminal { "" } else { "; in a terminal you are asked what to keep" };
    world.say(&format!("{} left to settle{how}", text::count(left, "file")), "  ")?;
    Err(Failure::Findings(Vec::new()))
}

/// Settles one copy; false when it is left.
fn settled(home: &Home, copy: &FileCopy, today: Day, world: &mut World<'_>) -> Result<bool> {
    writeln!(world.out, "{} is a copy of {}", copy.file, copy.of)?;
    if copy.of.starts_with("journal/") {
        if !world.is_terminal {
            return Ok(false);
        }
        let new = match home.settle_journal(copy, world.now, today)? {
            0 => "nothing new in it".to_owned(),
            lines => format!("{} taken over", text::count(lines, "line")),
        };
        writeln!(world.out, "  {new}; it lies in bin/copies")?;
        return Ok(true);
    }
    let compared = match compared(home, copy) {
        Ok(compared) => compared,
        Err(Trouble::Machine { what, source }) => {
            world.tell([&failed(&what, &source)])?;
            return Ok(false);
        }
        Err(found) => return Err(found.into()),
    };
    if compared.is_same() {
        let is_put_away = world.is_terminal;
        if is_put_away {
            home.settle(copy, &compared, Settle::Keep, today)?;
        }
        let away = if is_put_away { "; it lies in bin/copies" } else { "" };
        writeln!(world.out, "  it says the same{away}")?;
        return Ok(is_put_away);
    }
    say_differences(&compared, world)?;
    if !world.is_terminal {
        return Ok(false);
    }
    world.out.flush()?;
    let Some(how) = asked(&compared, world)? else { return Ok(false) };
    home.settle(copy, &compared, how, today)?;
    let kept = match how {
        Settle::Keep => "kept as it is; the copy lies in bin/copies",
        Settle::Take => "the copy took its place; what stood there lies in bin/copies",
        Settle::Join => "joined; both as they were lie in bin/copies",
    };
    writeln!(world.out, "  {}: {kept}", copy.of)?;
    Ok(true)
}

fn compared(home: &Home, copy: &FileCopy) -> Result<Compared, Trouble> {
    match &*copy.of {
        "phone.ron" => phone::compared(home, copy),
        "rehearsals.ron" => waiting::compared(home, copy),
        _ => home.compared_by_kind(copy),
    }
}

fn say_differences(compared: &Compared, world: &mut World<'_>) -> Result {
    match compared.reads {
        [true, true] => {}
        [false, true] => writeln!(world.out, "  the file cannot be read, the copy can")?,
        [true, false] => writeln!(world.out, "  the copy cannot be read")?,
        [false, false] => writeln!(world.out, "  neither can be read")?,
    }
    for difference in compared.differences.iter().take(MOST_SAID) {
        world.say(&format!("  {}", shown(difference)), "    ")?;
    }
    let more = compared.differences.len().saturating_sub(MOST_SAID);
    if more > 0 {
        writeln!(world.out, "  and {more} more")?;
    }
    Ok(())
}

/// `serve fast-bh, depth: short; in the copy half long`.
fn shown(difference: &Difference) -> String {
    let Difference { path, mine, theirs } = difference;
    let words = path.iter().enumerate().map(|(place, step)| match (place, &**step) {
        (0, "serves") => "serve",
        (0, "plan") => "answer to",
        (0, "switches") => "switch",
        (0, "events") => "event",
        (_, step) => step,
    });
    let words: Vec<_> = words.map(|word| text::one_line(&word.replace('_', " "))).collect();
    let place = match &words[..] {
        [list, name, rest @ ..] => [&[format!("{list} {name}")], rest].concat().join(", "),
        words => words.concat(),
    };
    let value = |value: &str| text::fit(&text::one_line(value), 60).trim_end().to_owned();
    match (mine.as_deref(), theirs.as_deref()) {
        (Some(mine), Some(theirs)) => {
            let [mine, theirs] = [(mine, theirs), (theirs, mine)]
                .map(|(one, other)| value(&only_here(one, other).unwrap_or("nothing".to_owned())));
            format!("{place}: {mine}; in the copy {theirs}")
        }
        (Some(mine), None) => format!("{place}: not in the copy ({})", value(mine)),
        (None, theirs) => {
            format!("{place}: only in the copy ({})", value(theirs.unwrap_or_default()))
        }
    }
}

/// The parts of a text that the other one has not.
fn only_here(one: &str, other: &str) -> Option<String> {
    let parts = |text: &'_ str| text.split(", ").map(str::to_owned).collect::<Vec<_>>();
    let others = parts(other);
    let only: Vec<String> = parts(one).into_iter().filter(|part| !others.contains(part)).collect();
    (!only.is_empty()).then(|| only.join(", "))
}

/// What to do; none for later.
fn asked(compared: &Compared, world: &mut World<'_>) -> Result<Option<Settle>> {
    let mut choices = vec![("keep what is here", Settle::Keep)];
    if compared.reads[1] {
        choices.push(("take the copy", Settle::Take));
    }
    if compared.can_join() {
        let clash = |one: &Difference| one.mine.is_some() && one.theirs.is_some();
        let is_torn = compared.differences.iter().any(clash);
        let words = if is_torn { "join both (what is here stands)" } else { "join both" };
        choices.push((words, Settle::Join));
    }
    let mut words: Vec<String> = choices.iter().map(|(words, _)| (*words).to_owned()).collect();
    words.push("later".to_owned());
    let chosen = Asker::default().choose(world, "what now", &words)?;
    Ok(chosen.and_then(|place| choices.get(place)).map(|(_, how)| *how))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_two_long_answers_only_what_differs_is_said() {
        let words = |why| {
            let same = "wing forehand, stroke push, timing early, to lane middle, depth short";
            Some(format!("{same}, why {why}"))
        };
        let path = ["plan", "short"].map(str::to_owned).to_vec();
        let difference = Difference { path, mine: words("quick"), theirs: words("safe") };
        assert_eq!(shown(&difference), "answer to short: why quick; in the copy why safe");
    }
}
