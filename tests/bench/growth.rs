//! How long every command takes in a large home, and how much room it needs: 200 opponents of 25
//! serves and a million events, or as many as are asked for. Cold is without what the program keeps
//! of earlier runs.
//!
//! `cargo bench --bench growth`; `-- 10000` for so many events; `-- DIR` fills a folder and measures
//! nothing. Needs 300 MB of disk for a million.

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
    "progress deck007",
    "phone write ../phone",
    "check",
];

fn main() -> Result<(), Box<dyn Error>> {
    let (mut size, mut given) = (SIZE, None);
    for argument in std::env::args().skip(1).filter(|argument| argument != "--bench") {
        match argument.parse() {
            Ok(events) => size.events = events,
            Err(_) => given = Some(argument),
        }
    }
    if let Some(folder) = given {
        println!("{} bytes of a journal", fill(Path::new(&folder), size)?);
        return Ok(());
    }
    let folder = tempfile::tempdir()?;
    let home = folder.path().join("home");
    println!("{size:?}, {} bytes of a journal", fill(&home, size)?);
    println!("| command | cold s, of processors, MB | warm s, of processors, MB |\n|---|---|---|");
    for line in COMMANDS {
        let _ = fs::remove_dir_all(home.join("cache"));
        let [cold, warm] = [run(&home, line)?, run(&home, line)?];
        println!("| `{line}` | {cold} | {warm} |");
    }
    Ok(())
}

/// Seconds of all cores that went to programs started here and ended, as Linux counts them.
fn processors_s() -> f64 {
    let stat = fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // The name, which may hold anything, stands in brackets.
    let fields = stat.rsplit(") ").next().unwrap_or_default().split(' ').skip(13).take(2);
    fields.filter_map(|ticks| ticks.parse::<f64>().ok()).sum::<f64>() / 100.0
}

/// One run of the program: how long it took, and the most memory it had.
fn run(home: &Path, line: &str) -> Result<String, Box<dyn Error>> {
    let (begin, before_s) = (Instant::now(), processors_s());
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
    let (took_s, cores_s) = (begin.elapsed().as_secs_f64(), processors_s() - before_s);
    if !ended.success() && line != "check" {
        println!("`{line}` failed: {ended}");
    }
    Ok(format!("{took_s:.2}, {cores_s:.2}, {}", most / 1024))
}
