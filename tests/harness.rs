//! Runs the real program in a throw-away home and shows what it said.

#![expect(
    clippy::unwrap_used,
    reason = "a harness that cannot start the program must fail the test"
)]
#![allow(dead_code, reason = "every subject uses another part of the harness")]

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What was said, on one line: where it is broken depends on how long the names in it are.
pub fn flat(said: &str) -> String {
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Copies a folder with everything in it.
pub fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap().map(Result::unwrap) {
        let to = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &to);
        } else {
            std::fs::copy(entry.path(), to).unwrap();
        }
    }
}

/// A throw-away home with a fixed clock and seed.
pub struct Player {
    folder: tempfile::TempDir,
    now: String,
    seed: u64,
}

/// What a run of the program said.
#[derive(Debug, PartialEq, Eq)]
pub struct Said {
    /// The exit code; -1 when a signal ended it.
    pub code: i32,
    /// Everything on the standard output.
    pub out: String,
    /// Everything on the standard error.
    pub err: String,
}

impl Said {
    /// The standard output of a run that must have been fine.
    #[track_caller]
    pub fn fine(self) -> String {
        assert_eq!(self.code, 0, "out:\n{}\nerr:\n{}", self.out, self.err);
        self.out
    }

    /// The standard error of a run that must have been refused with code 1.
    #[track_caller]
    pub fn refused(self) -> String {
        assert_eq!(self.code, 1, "out:\n{}\nerr:\n{}", self.out, self.err);
        self.err
    }
}

impl Player {
    /// A folder without a home in it yet.
    pub fn without_home() -> Self {
        let player =
            Self { folder: tempfile::tempdir().unwrap(), now: "2026-11-25".to_owned(), seed: 1 };
        // A device is named by chance; here it has a name, so that whole outputs can be compared.
        let state = player.beside("state/secondball-device");
        std::fs::create_dir_all(&state).unwrap();
        std::fs::write(state.join("device"), "testdevice\n").unwrap();
        player
    }

    /// Another one with the same files.
    pub fn copied(&self) -> Self {
        let folder = tempfile::tempdir().unwrap();
        copy(self.folder.path(), folder.path());
        Self { folder, now: self.now.clone(), seed: self.seed }
    }

    /// A home made by `init`.
    pub fn with_home() -> Self {
        let player = Self::without_home();
        player.run(&["init", "--name", "Invented Player", "--hand", "right"]).fine();
        player
    }

    /// The same player at another time (`2026-11-29` or RFC 3339).
    pub fn at(&mut self, now: &str) -> &mut Self {
        now.clone_into(&mut self.now);
        self
    }

    /// The home folder.
    pub fn home(&self) -> PathBuf {
        self.folder.path().join("home")
    }

    /// A path outside the home, in the same throw-away folder.
    pub fn beside(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes a file of the home.
    pub fn write(&self, file: &str, text: &str) {
        let path = self.home().join(file);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    /// Reads a file of the home.
    pub fn read(&self, file: &str) -> String {
        std::fs::read_to_string(self.home().join(file)).unwrap()
    }

    /// Every line of the home's journals.
    pub fn journal(&self) -> String {
        let Ok(files) = std::fs::read_dir(self.home().join("journal")) else {
            return String::new();
        };
        let mut texts: Vec<String> = files
            .filter_map(|file| Some(file.ok()?.path()))
            .filter(|path| path.extension().is_some_and(|ending| ending == "jsonl"))
            .map(|path| std::fs::read_to_string(path).unwrap())
            .collect();
        texts.sort();
        texts.concat()
    }

    /// The program with its world fixed, arguments still to come.
    pub fn program(&self) -> Command {
        let mut program = Command::new(env!("CARGO_BIN_EXE_secondball"));
        program
            .env_clear()
            .env("HOME", self.folder.path())
            .env("XDG_STATE_HOME", self.folder.path().join("state"))
            .env("SECONDBALL_HOME", self.home())
            .env("TZ", "UTC")
            .args(["--now", &self.now, "--seed", &self.seed.to_string()])
            .current_dir(self.folder.path());
        program
    }

    /// Runs the program with these arguments and nothing on its standard input.
    pub fn run(&self, arguments: &[&str]) -> Said {
        self.run_with_input(arguments, "")
    }

    /// Runs the program with a text on its standard input.
    pub fn run_with_input(&self, arguments: &[&str], input: &str) -> Said {
        self.run_with_bytes(arguments, input.as_bytes())
    }

    /// Runs the program with anything on its standard input.
    pub fn run_with_bytes(&self, arguments: &[&str], input: &[u8]) -> Said {
        let mut program = self.program();
        program.args(arguments);
        Said::run(program, input)
    }
}

impl Said {
    /// Runs a prepared program with this on its standard input.
    pub fn run(mut program: Command, input: &[u8]) -> Self {
        program.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = program.spawn().unwrap();
        // The program may end before it has read everything.
        let _ = child.stdin.take().unwrap().write_all(input);
        let output = child.wait_with_output().unwrap();
        Self {
            code: output.status.code().unwrap_or(-1),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }
}

/// A file of the repository.
pub fn repository(file: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(file)
}
