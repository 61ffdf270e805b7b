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
            let was_asked = [
                "no switch was written",
                "an opponent needs a name",
                "nothing was said",
                "which serve?",
            ]
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

/// Every command with its help, by asking each for the commands under it.
#[cfg(unix)]
fn helps(player: &Player, path: &[&str], found: &mut Vec<String>) {
    let help = player.run(&[path, &["--help"]].concat()).fine();
    let under = help.split_once("\nCommands:\n").map_or("", |(_, rest)| rest);
    let under = under.split("\n\n").next().unwrap_or_default();
    let named = under.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let names = named.filter_map(|line| line.split_whitespace().next());
    for name in names.filter(|name| *name != "help") {
        helps(player, &[path, &[name]].concat(), found);
    }
    found.push(help);
}

/// The examples of a help as they would be pasted, explanations left out.
#[cfg(unix)]
fn examples(help: &str) -> Vec<String> {
    let lines = help.split_once("Examples:\n").map_or("", |(_, rest)| rest);
    let mut examples: Vec<String> = Vec::new();
    for line in lines.lines().take_while(|line| !line.is_empty()) {
        match examples.last_mut() {
            Some(last) if last.ends_with('\\') => {
                last.push('\n');
                last.push_str(line);
            }
            _ if line.starts_with("   ") => {}
            _ => examples.push(line.trim_start().to_owned()),
        }
    }
    examples
}

/// It was broken within a word in quotes, and spoke of opponents, serves and files that no home has.
#[cfg(unix)]
#[test]
fn every_example_of_a_help_can_be_pasted_on_a_narrow_terminal_and_works() {
    use std::os::unix::fs::PermissionsExt;

    let player = crate::points::fixture::after_the_season();
    for words in ["launcher add club --like fixed", "scout South --hand left", "forget South --yes"]
    {
        player.run(&words.split(' ').collect::<Vec<_>>()).fine();
    }
    for balls in ["50", "55", "60"] {
        let session = ["rehearse", "--launcher", "feeder", "--keep", "tuesday", "--balls", balls];
        player.run(&session).fine();
    }
    player.run(&["phone", "write", "page"]).fine();
    let own = player.read("player.ron").replace("left-hander-north-hall", "north");
    player.write("player.ron", &own);
    let table = include_str!("points/season.csv");
    std::fs::write(player.beside("league.csv"), table.replace("2026", "2025")).unwrap();
    std::fs::write(player.beside("their.ron"), player.read("decks/north.ron")).unwrap();
    crate::harness::copy(&player.home(), &player.beside("players/ines"));
    // The clock of every run stands still.
    let script =
        format!("#!/bin/sh\nexec '{}' --now 2026-11-25 \"$@\"\n", env!("CARGO_BIN_EXE_secondball"));
    let program = player.beside("bin/secondball");
    std::fs::create_dir_all(player.beside("bin")).unwrap();
    std::fs::write(&program, script).unwrap();
    std::fs::set_permissions(&program, std::fs::Permissions::from_mode(0o755)).unwrap();

    let (mut all, mut failed) = (Vec::new(), Vec::new());
    helps(&player, &[], &mut all);
    let pasted: BTreeSet<String> = all.iter().flat_map(|help| examples(help)).collect();
    assert!(pasted.len() > 70, "{pasted:#?}");
    for example in &pasted {
        let wide = example.lines().find(|line| line.len() > 58);
        failed.extend(wide.map(|line| format!("wider than a narrow terminal: {line}")));
        let player = player.copied();
        let mut shell = std::process::Command::new("sh");
        let path = format!("{}:/usr/bin:/bin", player.beside("bin").display());
        shell.args(["-c", example]).env("PATH", path).current_dir(player.beside(""));
        for (name, value) in player.program().get_envs() {
            shell.env(name, value.unwrap_or_default());
        }
        let said = crate::harness::Said::run(shell, b"");
        // Without a terminal nobody answers, presses a key or brings a file.
        let is_asked = [
            "no terminal",
            "no switch was written",
            "one is missing",
            "an opponent needs a name",
            "answers.json",
            "balls.csv",
            "add `--yes`",
            "there is a home already",
            "3 are needed",
            "is still served",
            "there is nothing in it",
        ];
        if said.code != 0 && !is_asked.iter().any(|words| said.err.contains(words)) {
            failed.push(format!("{example}\n{}{}", said.out, said.err));
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}
