//! Disks that are full or forbidden and files that are none: what happened, what to do, and all else
//! goes on.

use crate::harness::{Player, flat};

fn kim() -> Player {
    let player = Player::with_home();
    player.run(&["scout", "Kim", "--hand", "right", "--from-habit", "pendulum-pair"]).fine();
    player
}

/// Everything that only reads.
const READS: [&[&str]; 8] = [
    &[],
    &["today"],
    &["check"],
    &["sheet", "kim"],
    &["plan", "kim"],
    &["progress"],
    &["scout", "show", "kim"],
    &["launcher", "aim", "kim", "--launcher", "fixed"],
];

#[test]
fn what_is_no_deck_is_named_and_stops_nothing_about_others() {
    let player = kim();
    let decks = player.home().join("decks");
    std::fs::create_dir(decks.join("folder.ron")).unwrap();
    std::fs::write(decks.join("bytes.ron"), b"(\n  key: \"ab\xffc\",\n)").unwrap();
    std::fs::write(decks.join("nul.ron"), b"(\n\n  key: \"ab\0c\",\n)").unwrap();
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(decks.join("nowhere"), decks.join("link.ron")).unwrap();
        std::process::Command::new("mkfifo").arg(decks.join("pipe.ron")).status().unwrap();
    }
    for read in READS.iter().filter(|read| **read != ["check"]) {
        let said = player.run(read);
        // Lists that leave somebody out end with 1.
        let is_whole = read.contains(&"kim");
        assert!(said.out.len() > 40 && said.code <= i32::from(!is_whole), "{read:?}: {}", said.err);
    }
    let check = player.run(&["check"]);
    assert_eq!(check.code, 1, "{}", check.out);
    let mut named = vec!["decks/bytes.ron:2:11:", "decks/nul.ron:3:11:"];
    if cfg!(unix) {
        named.extend(["decks/link.ron: this is a link", "decks/pipe.ron: a folder or a device"]);
    }
    for words in named {
        assert!(flat(&check.out).contains(words), "{words}\n{}", check.out);
    }
    let said = player.run(&["sheet", "nul"]).refused();
    assert!(said.contains("decks/nul.ron:3:11: this is not a text file"), "{said}");
}

/// They stopped every command, and a pipe kept each waiting for ever.
#[cfg(unix)]
#[test]
fn a_journal_that_cannot_be_read_is_named_and_the_others_count() {
    let player = kim();
    let point = || player.run_with_input(&["points", "kim"], "in-short won\nend\n");
    point().fine();
    let link = |to: &str, file: &str| {
        std::os::unix::fs::symlink(to, player.home().join("journal").join(file)).unwrap();
    };
    link("nowhere", "link.jsonl");
    link("/proc/self/mem", "failing.jsonl");
    std::process::Command::new("mkfifo")
        .arg(player.home().join("journal/pipe.jsonl"))
        .status()
        .unwrap();
    point().fine();
    let lessons = player.run(&["plan", "advise", "kim", "--why"]);
    assert!(lessons.out.contains("2 points"), "{}", lessons.out);
    for read in READS.iter().filter(|read| **read != ["check"]) {
        let said = player.run(read);
        assert!(said.out.len() > 40 && said.code == 0, "{read:?}: {}", said.err);
    }
    let check = player.run(&["check"]);
    assert_eq!(check.code, 1, "{}", check.out);
    for words in ["link.jsonl: this is a link", "pipe.jsonl: a folder or", "failing.jsonl: cannot"]
    {
        assert!(flat(&check.out).contains(words), "{words}\n{}", check.out);
    }
    // It may hold them already.
    player.run_with_input(&["phone", "read", "-"], "{}").refused();
}

#[test]
fn a_player_file_that_is_a_folder_is_named_and_no_home_is_made_over_it() {
    let player = kim();
    std::fs::remove_file(player.home().join("player.ron")).unwrap();
    std::fs::create_dir(player.home().join("player.ron")).unwrap();
    let said = player.run(&["today"]).refused();
    assert!(said.contains("player.ron: a folder or a device is called so"), "{said}");
    player.run(&["init", "--hand", "right"]).refused();
}

#[test]
fn a_name_too_long_is_said_so_with_the_way_out() {
    let player = kim();
    let long = format!("{}.html", "x".repeat(300));
    let said = player.run(&["sheet", "kim", "--html", &long]);
    assert_eq!(said.code, 2, "{}", said.err);
    assert!(
        flat(&said.err).contains("the name is too long hint: choose a shorter one"),
        "{}",
        said.err
    );
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_said_at_every_write_with_what_to_do_and_nothing_there_is_lost() {
    use super::injecting::{Strike, struck, traced};
    let acts: [(&[&str], &str); 9] = [
        (&["scout", "change", "kim", "in-short", "note=seen"], ""),
        (&["today", "--event", "Open=2026-12-05"], ""),
        (&["launcher", "add", "hall", "--like", "fixed"], ""),
        (&["points", "kim"], "in-short won\nend\n"),
        (&["rehearse", "kim", "--launcher", "feeder", "--balls", "40"], ""),
        (&["sheet", "kim", "--html", "sheet.html"], ""),
        (&["phone", "write", "page"], ""),
        (&["plan", "safe", "kim", "backhand push to middle long"], ""),
        (&["forget", "kim", "--yes"], ""),
    ];
    for (act, input) in acts {
        let calls = traced(&kim(), act, input).len();
        assert!(calls > 0, "{act:?}");
        let mut told = 0;
        for at in 1..=calls {
            let player = kim();
            let said = struck(&player, act, input, at, Strike::Full);
            let words = flat(&said.err);
            if said.code != 0 {
                told += 1;
                let is_said = words.contains("the disk is full hint: make room");
                assert!(is_said && said.code == 2, "{act:?} {at} {}: {}", said.code, said.err);
            }
            player.run(&["check"]).fine();
            let again = player.run_with_input(act, input);
            // Failed at its very last step, it is there already.
            let is_there = again.code == 0 || said.code == 0 || again.err.contains("already");
            assert!(is_there, "{act:?} {at}: {}", again.err);
        }
        assert!(told > 0, "{act:?}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn who_may_only_read_reads_the_same() {
    use super::injecting::{Strike, struck, traced};
    let player = kim();
    for read in READS {
        // The first run may keep what was worked out.
        let fine = player.run(read);
        let _ = std::fs::remove_dir_all(player.home().join("cache"));
        let calls = traced(&player, read, "").len();
        for at in 1..=calls {
            let _ = std::fs::remove_dir_all(player.home().join("cache"));
            assert_eq!(struck(&player, read, "", at, Strike::Forbidden), fine, "{read:?} at {at}");
        }
    }
}
