//! Every command that a page prints as the way on works typed exactly as it stands.

use std::collections::BTreeSet;

use crate::harness::Player;

/// The commands a text holds: in backticks, behind `Next:`, or on a line of their own.
pub(crate) fn commands(text: &str) -> BTreeSet<String> {
    let ticked = text.split('`').skip(1).step_by(2).map(str::to_owned);
    let lines = text.lines().filter_map(|line| {
        let line = line.split_once("Next: ").map_or(line, |(_, rest)| rest).trim();
        let line = line.strip_prefix("write ").unwrap_or(line).trim();
        line.starts_with("secondball ").then(|| line.to_owned())
    });
    ticked
        .chain(lines)
        .filter(|command| command.starts_with("secondball "))
        // One that ends a sentence.
        .map(|command| command.trim_end_matches('.').to_owned())
        .map(|command| command.split_whitespace().collect::<Vec<_>>().join(" "))
        // Examples of a habit's listing speak of an opponent nobody knows.
        .filter(|command| !command.contains("NAME"))
        .collect()
}

/// A command as a shell takes it apart.
pub(crate) fn words(command: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut is_quoted = false;
    for letter in command.chars() {
        match letter {
            '"' => is_quoted = !is_quoted,
            ' ' if !is_quoted => words.push(String::new()),
            letter => words.last_mut().into_iter().for_each(|word| word.push(letter)),
        }
    }
    words.into_iter().skip(1).filter(|word| !word.is_empty()).collect()
}

/// Says everything in one home, and types every command that comes.
fn walk(player: &Player, stage: &str, tried: &mut BTreeSet<String>) -> Vec<String> {
    let mut failed = Vec::new();
    let pages: [&[&str]; 17] = [
        &[],
        &["today"],
        &["drill"],
        &["drill", "--opponent", "north", "--simulated"],
        &["drill", "--opponent", "north", "--simulated", "--switch", "none"],
        &["progress"],
        &["plan"],
        &["plan", "choose"],
        &["plan", "switch"],
        &["scout", "show"],
        &["scout", "add", "north", "depth=short"],
        &["launcher", "aim", "north", "--launcher", "fixed"],
        &["launcher", "show"],
        &["rehearse", "--opponent", "north", "--launcher", "fixed", "--balls", "40"],
        &["rehearse", "log", "1/2"],
        &["check"],
        &["init"],
    ];
    for page in pages {
        let said = player.run(page);
        for command in commands(&format!("{}\n{}", said.out, said.err)) {
            if !tried.insert(format!("{stage}: {command}")) {
                continue;
            }
            let typed = words(&command);
            let typed: Vec<&str> = typed.iter().map(String::as_str).collect();
            let then = player.run(&typed);
            let wants_terminal = then.err.contains("no terminal");
            // Questions that end at once write nothing, and say how to do it by flags.
            let was_asked =
                ["no switch was written", "an opponent needs a name", "nothing was said"]
                    .iter()
                    .any(|words| then.err.contains(words));
            if then.code != 0 && !wants_terminal && !was_asked && typed != ["check"] {
                failed
                    .push(format!("{stage}, {page:?} says `{command}`:\n{}{}", then.out, then.err));
            }
        }
    }
    failed
}

#[test]
fn every_command_that_is_printed_as_a_hint_works_as_it_stands() {
    let mut tried = BTreeSet::new();
    let mut failed = Vec::new();
    failed.extend(walk(&Player::with_home(), "empty", &mut tried));
    let player = Player::with_home();
    player.run(&["scout", "Left-hander, north hall", "--hand", "left"]).fine();
    failed.extend(walk(&player, "no serves", &mut tried));
    let player = Player::with_home();
    let serve = "id=short-fh motion=backhand spin=backspin lane=forehand depth=short";
    player.run(&["scout", "North hall", "--hand", "left", "--serve", serve]).fine();
    failed.extend(walk(&player, "no plan", &mut tried));
    player.run(&["plan", "set", "north", "short-fh", "forehand push to middle short"]).fine();
    failed.extend(walk(&player, "planned", &mut tried));
    std::fs::write(player.beside("keys"), "none\nspace\n".repeat(40)).ok();
    player.run(&["drill", "--opponent", "north", "--keys", "keys"]).fine();
    failed.extend(walk(&player, "drilled", &mut tried));
    player.run(&["today", "--event", "Invented open=2026-12-05", "--against", "north"]).fine();
    player.run(&["scout", "South hall", "--hand", "left", "--serve", serve]).fine();
    failed.extend(walk(&player, "two opponents", &mut tried));
    assert!(failed.is_empty(), "{}", failed.join("\n"));
    assert!(tried.len() > 25, "{tried:#?}");
}
