//! The results of a session, written down for the log lines that wait, or for the serves of a plan.

use super::waiting::{Kept, kept, replace, waiting};
use crate::base::{Day, text};
use crate::cli::{Desk, Failure, World};
use crate::journal::Fact;
use crate::rehearsal::{LogLine, Logged, answered, is_by_serve, read_log};

/// What is typed behind `rehearse log`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Typed<'a> {
    /// The results.
    pub results: &'a [String],
    /// The session they belong to.
    pub session: Option<u32>,
    /// The log line the first of them is for.
    pub from: Option<u32>,
    /// Whose serves they are.
    pub opponent: Option<&'a str>,
    /// A second time.
    pub again: bool,
    /// Beside what a phone brought home.
    pub also: bool,
}

/// Writes results down; the lines of the session without one wait on.
pub(super) fn log(typed: &Typed<'_>, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let mut last = waiting(typed, desk)?;
    let first = typed.from.unwrap_or(1);
    if !(1..=last.lines.len()).contains(&(first as usize)) {
        return Err(Failure::request(
            format!("there is no log line {first}, only 1 to {}", last.lines.len()),
            "the sheet numbers its log lines",
        ));
    }
    // From a line on, results go to the lines that wait, as they were told to wait.
    let skips = typed.from.is_some() && !typed.again;
    let lines: Vec<LogLine> = last.lines[first as usize - 1..]
        .iter()
        .filter(|line| line.number == first || !skips || last.already(&[line.number]).is_empty())
        .cloned()
        .collect();
    let logged = read_log(&lines, typed.results).map_err(|errors| {
        Failure::Findings(errors.iter().map(crate::rehearsal::LogError::finding).collect())
    })?;
    let given = answered(&lines, typed.results);
    let already = last.already(&given);
    // A serve by name stands for those of its lines that wait.
    let is_named = typed.results.iter().all(|result| is_by_serve(result));
    let is_twice = if is_named { already.len() == given.len() } else { !already.is_empty() };
    if is_twice && !typed.again {
        let rest = last.rest().map(|rest| format!("{rest}; ")).unwrap_or_default();
        let numbers: Vec<String> = already.iter().map(u32::to_string).collect();
        let noun = if numbers.len() == 1 { "line" } else { "lines" };
        return Err(Failure::request(
            format!("{}: {noun} {} written down already", last.shown(), text::and_list(&numbers)),
            format!("{rest}--again writes down a second time"),
        ));
    }
    let home = desk.home()?;
    let day = desk.today()?;
    if !typed.also {
        refuse_counted_twice(desk, &last, &logged, day)?;
    }
    let mut writer = home.writer(world.now, day)?;
    for one in &logged {
        writer.append(world.now, day, one.fact(&last.deck))?;
    }
    drop(writer);
    if last.number.is_some() {
        last.written.extend(given);
        last.written.sort_unstable();
        last.written.dedup();
        let is_whole = last.open().next().is_none();
        last.is_logged = is_whole;
        replace(home, &last)?;
        let session = format!("Written down: {}", last.shown());
        writeln!(world.out, "{}", text::wrap(&session, world.width, "  "))?;
        if let Some(rest) = last.rest() {
            writeln!(world.out, "{}", text::wrap(&format!("  {rest}"), world.width, "  "))?;
        }
    } else {
        let waits = |one: &&Kept| one.deck == last.deck && !one.is_logged;
        let count = kept(home)?.iter().filter(waits).count();
        if count > 0 {
            let wait = if count == 1 { "waits" } else { "wait" };
            let count = text::count(count, "session");
            writeln!(world.err, "{count} against them {wait} for results as before")?;
        }
    }
    writeln!(world.out, "Against {}", text::one_line(&last.opponent))?;
    for (serve, receive, sum) in by_answer(&logged) {
        let balls = sum.0 + sum.1 + sum.2;
        let wrong =
            if sum.2 > 0 { format!(", {} with another receive", sum.2) } else { String::new() };
        let share = f64::from(sum.0) * 100.0 / f64::from(balls.max(1));
        writeln!(
            world.out,
            "  {} {:>3}/{balls:<3} {share:>3.0} %{wrong}\n    {receive}",
            text::fit(&serve, 16),
            sum.0
        )?;
    }
    Ok(())
}

/// Balls that the phone's caller counted come home by themselves: typed in as well they would count twice.
fn refuse_counted_twice(
    desk: &Desk,
    last: &Kept,
    logged: &[Logged],
    day: Day,
) -> Result<(), Failure> {
    let since = last.day.unwrap_or(day);
    let counted: u32 = desk
        .journal()?
        .recent()
        .iter()
        .filter(|event| event.origin.is_some() && event.day >= since)
        .filter_map(|event| match &event.fact {
            Fact::Ball(ball) if ball.deck == last.deck => Some(ball),
            _ => None,
        })
        .filter(|ball| logged.iter().any(|one| one.serve == ball.serve))
        .map(|ball| ball.made + ball.missed + ball.wrong)
        .sum();
    if counted == 0 {
        return Ok(());
    }
    Err(Failure::request(
        format!(
            "a phone has brought {} of these serves home since {}",
            text::count(counted as usize, "ball"),
            since.spoken()
        ),
        "they count already; if these are other balls, add --also",
    ))
}

/// Made, missed and wrong by serve and receive, in order of appearance.
fn by_answer(logged: &[Logged]) -> Vec<(String, String, (u32, u32, u32))> {
    let mut sums: Vec<(String, String, (u32, u32, u32))> = Vec::new();
    for one in logged {
        let (serve, receive) = (one.serve.to_string(), one.receive.shown());
        let found = sums.iter().position(|(known, by, _)| *known == serve && *by == receive);
        let place = found.unwrap_or_else(|| {
            sums.push((serve, receive, (0, 0, 0)));
            sums.len() - 1
        });
        let sum = &mut sums[place].2;
        *sum = (sum.0 + one.made, sum.1 + one.missed, sum.2 + one.wrong);
    }
    sums
}
