//! The cue of a shadow round: spoken, where a program that speaks is installed; else the bell.

use std::process::{Child, Command, Stdio};

/// Programs that speak a line, with what goes before it.
const PROGRAMS: [(&str, &[&str]); 4] =
    [("spd-say", &["--wait"]), ("espeak-ng", &[]), ("espeak", &[]), ("say", &[])];

/// Speaks, or knows that it cannot.
#[derive(Debug, Default)]
pub(super) struct Voice {
    is_mute: bool,
    speaking: Option<Child>,
}

impl Voice {
    /// Says a line; false when nothing here can speak.
    pub(super) fn say(&mut self, line: &str) -> bool {
        self.hush();
        if self.is_mute {
            return false;
        }
        for (program, arguments) in PROGRAMS {
            // A leading hyphen would be taken for a flag.
            let spoken = line.trim_start_matches('-');
            let child = Command::new(program)
                .args(arguments)
                .arg(spoken)
                .stdin(Stdio::null())
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .spawn();
            if let Ok(child) = child {
                self.speaking = Some(child);
                return true;
            }
        }
        self.is_mute = true;
        false
    }

    /// Ends what is still being said.
    pub(super) fn hush(&mut self) {
        if let Some(mut child) = self.speaking.take() {
            // It may have ended by itself.
            let _ = child.kill();
            let _ = child.wait();
        }
    }
}

impl Drop for Voice {
    fn drop(&mut self) {
        self.hush();
    }
}
