//! The drill in a real terminal (a pty): it opens, answers, and gives the terminal back whatever ends
//! it, with every answer kept.

#![expect(clippy::unwrap_used, reason = "without a terminal there is nothing to test")]

use std::io::{Read, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

use super::program;
use crate::harness::Player;

/// The program in a terminal.
struct Session {
    player: Player,
    child: Box<dyn Child + Send + Sync>,
    master: Option<Box<dyn MasterPty + Send>>,
    keys: Option<Box<dyn Write + Send>>,
    seen: Arc<Mutex<String>>,
    /// Set when nobody looks at the terminal any more.
    is_gone: Arc<AtomicBool>,
}

/// The program begun in a terminal.
pub(crate) fn begun(
    player: &Player,
    arguments: &[&str],
) -> (Box<dyn Child + Send + Sync>, Box<dyn MasterPty + Send>) {
    let size = PtySize { rows: 24, cols: 80, pixel_width: 0, pixel_height: 0 };
    let pair = native_pty_system().openpty(size).unwrap();
    let prepared = player.program();
    let mut command = CommandBuilder::new(prepared.get_program());
    command.env_clear();
    for (name, value) in prepared.get_envs() {
        command.env(name, value.unwrap());
    }
    command.env("TERM", "xterm-256color");
    command.args(prepared.get_args());
    command.args(arguments);
    (pair.slave.spawn_command(command).unwrap(), pair.master)
}

impl Session {
    fn open(arguments: &[&str]) -> Self {
        let player = program::player();
        let (child, master) = begun(&player, arguments);
        let seen = Arc::new(Mutex::new(String::new()));
        let mut reader = master.try_clone_reader().unwrap();
        let written = Arc::clone(&seen);
        let is_gone = Arc::new(AtomicBool::new(false));
        let leaves = Arc::clone(&is_gone);
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            // The end of a pty may come as an error.
            while let Ok(count) = reader.read(&mut bytes) {
                if count == 0 || leaves.load(Ordering::Relaxed) {
                    break;
                }
                let mut written = written.lock().unwrap();
                written.push_str(&String::from_utf8_lossy(&bytes[..count]));
            }
        });
        let keys = master.take_writer().unwrap();
        Self { player, child, master: Some(master), keys: Some(keys), seen, is_gone }
    }

    fn press(&mut self, keys: &str) {
        let writer = self.keys.as_mut().unwrap();
        writer.write_all(keys.as_bytes()).unwrap();
        writer.flush().unwrap();
    }

    /// Waits until these words have come.
    #[track_caller]
    fn wait_for(&self, words: &str) {
        let until = Instant::now() + Duration::from_secs(30);
        while !self.seen.lock().unwrap().contains(words) {
            assert!(Instant::now() < until, "`{words}` never came");
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    #[track_caller]
    fn ended(&mut self) -> u32 {
        let until = Instant::now() + Duration::from_secs(30);
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.exit_code();
            }
            assert!(Instant::now() < until, "it did not end");
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Begins and answers one ball (right or wrong, in time or not: it is an answer).
    fn answer_one(&mut self) {
        // Only single words: between two of them the screen may move the cursor instead.
        self.wait_for("Eighteen");
        self.press("\u{1b}");
        self.wait_for("north");
        self.press(" ");
        self.wait_for("■");
        std::thread::sleep(Duration::from_millis(250));
        self.press("w");
        let until = Instant::now() + Duration::from_secs(30);
        while self.answers() == 0 {
            assert!(Instant::now() < until, "the answer was not kept at once");
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    fn answers(&self) -> usize {
        program::answers(&self.player)
    }

    #[track_caller]
    fn has_given_the_terminal_back(&self) {
        let seen = self.seen.lock().unwrap();
        let (left, shown) = (seen.rfind("\u{1b}[?1049l"), seen.rfind("\u{1b}[?25h"));
        assert!(left.is_some() && shown.is_some(), "{left:?} {shown:?}");
        assert!(left > seen.rfind("\u{1b}[?1049h"));
    }
}

#[test]
fn control_c_gives_the_terminal_back_and_keeps_the_answers() {
    let mut session = Session::open(&["drill", "--opponent", "north"]);
    session.answer_one();
    session.press("\u{3}");
    assert_eq!(session.ended(), 130);
    assert_eq!(session.answers(), 1);
    session.wait_for("everything answered so far is kept");
    session.has_given_the_terminal_back();
}

#[test]
fn who_leaves_before_the_first_answer_is_not_told_that_it_is_kept() {
    let mut session = Session::open(&["drill", "--opponent", "north"]);
    session.wait_for("\u{1b}[?1049h");
    std::thread::sleep(Duration::from_millis(300));
    session.press("\u{3}");
    assert_eq!(session.ended(), 130);
    session.wait_for("interrupted");
    assert!(!session.seen.lock().unwrap().contains("is kept"));
}

#[test]
fn p_pauses_and_goes_on_and_escape_twice_stops_without_a_complaint() {
    let mut session = Session::open(&["drill", "--opponent", "north"]);
    session.answer_one();
    session.press("p");
    session.wait_for("Paused");
    session.press("p");
    let until = Instant::now() + Duration::from_secs(30);
    while session.answers() < 2 {
        assert!(Instant::now() < until, "it did not go on");
        session.press("w");
        std::thread::sleep(Duration::from_millis(300));
    }
    session.press("\u{1b}");
    std::thread::sleep(Duration::from_millis(400));
    session.press("\u{1b}");
    assert_eq!(session.ended(), 0);
    session.wait_for("everything answered so far is kept");
    session.has_given_the_terminal_back();
}

#[test]
fn line_by_line_it_waits_after_a_result_and_says_when_an_answer_is_taken_back() {
    let mut session = Session::open(&["drill", "--opponent", "north", "--plain"]);
    session.wait_for("Space begins");
    session.press(" ");
    session.wait_for("Toss.");
    std::thread::sleep(Duration::from_millis(2500));
    // A line's end behind the key is no wish for the next ball.
    session.press("w\r");
    session.wait_for("Space: next ball. u: take it back.");
    std::thread::sleep(Duration::from_millis(1500));
    assert_eq!(session.seen.lock().unwrap().matches("Toss.").count(), 1);
    session.press("u");
    session.wait_for("Taken back; its ball comes again soon.");
    session.press("u");
    session.wait_for("There is nothing to take back now.");
    assert_eq!(session.seen.lock().unwrap().matches("Toss.").count(), 1);
    session.press("\u{1b}");
    assert_eq!(session.ended(), 0);
}

#[test]
fn an_opponent_is_forgotten_by_the_whole_name_and_by_nothing_else() {
    for typed in ["yikes", "maybe", "y", "north", ""] {
        let mut session = Session::open(&["forget", "north"]);
        session.wait_for("Type the name");
        session.press(&format!("{typed}\r"));
        assert_eq!(session.ended(), 1, "{typed}");
        session.wait_for("is kept");
        assert!(session.player.home().join("decks/north.ron").exists());
    }
    let mut session = Session::open(&["forget", "north"]);
    session.wait_for("Type the name");
    session.press("invented North\r");
    assert_eq!(session.ended(), 0);
    assert!(!session.player.home().join("decks/north.ron").exists());
}

#[test]
fn a_scout_who_leaves_is_told_what_is_kept_and_how_to_go_on() {
    let mut session = Session::open(&["scout", "Kim"]);
    session.wait_for("hand:");
    session.press("lefty\r");
    session.wait_for("rubbers:");
    session.press("\r");
    session.wait_for("where they wait?");
    session.press("\r");
    session.wait_for("motion:");
    session.press("\u{3}");
    assert_eq!(session.ended(), 130);
    session.wait_for("decks/kim.ron has 0 serves. Go on: secondball scout kim");
    session.wait_for("interrupted");
    assert!(!session.seen.lock().unwrap().contains("everything answered so far"));
}

/// Nothing happened, and only the program could be broken off.
#[test]
fn ctrl_d_ends_the_questions_and_what_was_said_is_kept() {
    let mut session = Session::open(&["scout", "Kim"]);
    for (question, answer) in [("hand:", "lefty"), ("rubbers:", ""), ("where they wait?", "")] {
        session.wait_for(question);
        session.press(&format!("{answer}\r"));
    }
    session.wait_for("motion:");
    session.press("short dead fh, hook\r");
    session.wait_for("gives it away");
    session.press("\u{4}");
    assert_eq!(session.ended(), 0);
    session.wait_for("decks/kim.ron has 1 serve");
}

#[test]
fn who_throws_is_asked_and_must_be_answered() {
    let mut session = Session::open(&["rehearse"]);
    session.wait_for("a launcher, one setting at a time");
    session.press("\r");
    session.wait_for("this one cannot stay open");
    session.press("a friend who feeds\r");
    session.wait_for("balls against");
    assert_eq!(session.ended(), 0);
    assert!(!session.seen.lock().unwrap().contains("leaves it open"));
}

#[test]
fn another_receive_is_named_in_words_between_the_keys() {
    let mut session = Session::open(&["points", "north", "--first", "them"]);
    session.wait_for("their serve?");
    session.press("10");
    session.wait_for("not named");
    session.press("bh blok\rl");
    session.wait_for("0-1");
    session.press("20\rw");
    session.wait_for("1-1");
    session.press("q");
    assert_eq!(session.ended(), 0);
    let journal = session.player.journal();
    assert!(journal.contains("bh blok") && journal.contains("another receive (not named)"));
}

#[cfg(unix)]
#[test]
fn a_term_signal_gives_the_terminal_back_and_keeps_the_answers() {
    let mut session = Session::open(&["drill", "--opponent", "north"]);
    session.answer_one();
    let process = session.child.process_id().unwrap().to_string();
    std::process::Command::new("kill").args(["-TERM", &process]).status().unwrap();
    assert_eq!(session.ended(), 130);
    assert_eq!(session.answers(), 1);
    session.wait_for("everything answered so far is kept");
    session.has_given_the_terminal_back();
}

#[cfg(unix)]
#[test]
fn a_hang_up_ends_the_drill_and_keeps_the_answers() {
    let mut session = Session::open(&["drill", "--opponent", "north"]);
    session.answer_one();
    let process = session.child.process_id().unwrap().to_string();
    session.keys = None;
    session.master = None;
    // The reader still holds the pty open here, so the hang-up is sent as the system would.
    std::process::Command::new("kill").args(["-HUP", &process]).status().unwrap();
    assert_eq!(session.ended(), 130);
    assert_eq!(session.answers(), 1);
}

/// A terminal that is really gone once kept the program reading it for ever, at full speed.
#[cfg(unix)]
#[test]
fn a_terminal_that_is_gone_ends_the_drill_and_keeps_the_answers() {
    let mut session = Session::open(&["drill", "--opponent", "north"]);
    session.answer_one();
    session.is_gone.store(true, Ordering::Relaxed);
    // The next ball draws, so the reader wakes up and lets go of the terminal.
    session.press(" ");
    std::thread::sleep(Duration::from_millis(300));
    session.keys = None;
    session.master = None;
    session.ended();
    assert_eq!(session.answers(), 1);
}
