//! How long every command takes in a large home, and how much room it needs: 200 opponents of 25
//! serves and a million events. Cold is without what the program keeps of earlier runs.
//!
//! `cargo bench --bench growth`; `-- DIR` fills a folder and measures nothing. Needs 300 MB of disk.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]
#![expect(clippy::disallowed_methods, reason = "a bench reads the clock and makes its own home")]

use std::error::Error;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

#[path = "../support/big_home.rs"]
mod big_home;

use big_home::{LAST, Size, fill};

const SIZE: Size = Size { decks: 200, serves: 25, events: 1_000_000 };
/// What is measured; files stand beside the home.
const COMMANDS: &[&str] = &[
    "",
    "today",
    "scout deck007",
    "plan deck007",
    "plan advise deck007",
    "plan worth deck007",
    "drill deck007 --minutes 1 --simulated",
    "drill --minutes 1 --simulated",
    "rehearse deck007 --minutes 10",
    "sheet deck007",
    "points lessons deck007",
    "progress",
    "progress --deck deck007",
    "phone write ../phone",
    "check",
];

fn main() -> Result<(), Box<dyn Error>> {
    let mut given = std::env::args().skip(1).filter(|argument| argument != "--bench");
    if let Some(folder) = given.next() {
        println!("{} bytes of a journal", fill(Path::new(&folder), SIZE)?);
        return Ok(());
    }
    let folder = tempfile::tempdir()?;
    let home = folder.path().join("home");
    println!("{SIZE:?}, {} bytes of a journal", fill(&home, SIZE)?);
    println!("| command | cold s, MB | warm s, MB |\n|---|---|---|");
    for line in COMMANDS {
        let _ = fs::remove_dir_all(home.join("cache"));
        let [cold, warm] = [run(&home, line)?, run(&home, line)?];
        println!("| `{line}` | {} | {} |", said(cold), said(warm));
    }
    Ok(())
}

fn said((took, room_kb): (Duration, u64)) -> String {
    format!("{:.2}, {}", took.as_secs_f64(), room_kb / 1024)
}

/// One run of the program: how long it took and the most memory it had.
fn run(home: &Path, line: &str) -> Result<(Duration, u64), Box<dyn Error>> {
    let begin = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_secondball"))
        .args(["--now", LAST, "--seed", "1"])
        .args(line.split_whitespace())
        .env("SECONDBALL_HOME", home)
        .env("XDG_STATE_HOME", home.join("../state"))
        .current_dir(home)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()?;
    let status = format!("/proc/{}/status", child.id());
    let mut most = 0;
    let ended = loop {
        if let Some(ended) = child.try_wait()? {
            break ended;
        }
        let text = fs::read_to_string(&status).unwrap_or_default();
        let kb =
            text.lines().find_map(|line| line.strip_prefix("VmHWM:")?.trim().strip_suffix(" kB"));
        most = kb.and_then(|kb| kb.parse().ok()).unwrap_or(most);
        std::thread::sleep(Duration::from_millis(2));
    };
    let took = begin.elapsed();
    if !ended.success() && line != "check" {
        println!("`{line}` failed: {ended}");
    }
    Ok((took, most))
}
