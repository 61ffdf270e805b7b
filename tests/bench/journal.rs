//! How long a home with 250,000 and one with 1,000,000 answers take to be read: everything folded
//! into the memory of 500 patterns, and with what is kept of that; and how much room that needs.
//!
//! The home is invented: two devices, ten years, 500 patterns. Each figure is the best of several
//! runs of a process of its own, so that the room one run takes says nothing about the next. Needs
//! about 200 MB of disk in the system's temporary folder.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]
#![expect(clippy::disallowed_methods, reason = "a bench reads the clock and makes its own home")]

use std::error::Error;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::Instant;

use secondball::journal::{Event, Renames};
use secondball::memory::{Memories, Model};
use secondball::store::{Device, Home};

#[path = "../support/big_home.rs"]
mod big_home;

use big_home::{LAST, Size, fill};

const SIZES: [usize; 2] = [250_000, 1_000_000];
const DECKS: usize = 50;
const SERVES: usize = 10;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1).filter(|argument| argument != "--bench");
    if let (Some(_), Some(root)) = (arguments.next(), arguments.next()) {
        return one_run(Path::new(&root));
    }
    SIZES.into_iter().try_for_each(measure)
}

fn measure(events: usize) -> Result<(), Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let bytes = fill(folder.path(), Size { decks: DECKS, serves: SERVES, events })?;
    println!(
        "{events} events, {} bytes a line, two devices, {} patterns",
        bytes / events as u64,
        DECKS * SERVES
    );
    for (how, runs) in [("whole", 5), ("kept", 10)] {
        let mut best: Option<(f64, u64, String)> = None;
        for _ in 0..runs {
            if how == "whole" {
                let _ = fs::remove_dir_all(folder.path().join("cache"));
            }
            let output = Command::new(std::env::current_exe()?)
                .arg("--one-run")
                .arg(folder.path())
                .output()?;
            let said = String::from_utf8(output.stdout)?;
            let mut words = said.split_whitespace();
            let (Some(ms), Some(room)) = (words.next(), words.next()) else {
                return Err(String::from_utf8_lossy(&output.stderr).into());
            };
            let run = (ms.parse()?, room.parse()?, words.collect::<Vec<_>>().join(" "));
            if best.as_ref().is_none_or(|best| run.0 < best.0) {
                best = Some(run);
            }
        }
        if let Some((ms, room_kb, folded)) = best {
            let room_mb = room_kb / 1024;
            println!("{how:<6} {ms:>8.1} ms  {room_mb:>5} MB at most  {folded} events folded");
        }
    }
    Ok(())
}

/// One fold in this process: milliseconds, the most memory it took (kB), events folded.
fn one_run(root: &Path) -> Result<(), Box<dyn Error>> {
    let home = Home::at(root.to_owned(), Device::named("laptop"));
    let model = Model::default();
    let begin = Instant::now();
    let step = |memories: &mut Memories, event: &Event| {
        memories.apply(&model, event);
    };
    let folded =
        home.fold("1", LAST.parse()?, &Renames::default(), Memories::default, step)?.folded;
    let ms = begin.elapsed().as_secs_f64() * 1000.0;
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let room = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:")?.trim().strip_suffix(" kB"))
        .unwrap_or("0");
    println!("{ms} {room} {folded}");
    Ok(())
}
