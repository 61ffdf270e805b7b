//! Runs the program so that one of the calls that change a file ends it or fails.
//!
//! `injector.c` stands before the C library (`LD_PRELOAD`), so this is for Linux; it is built once a
//! test run with the C compiler that the tests need anyway.

#![expect(clippy::unwrap_used, reason = "an injector that cannot be built must fail the test")]

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;

use crate::harness::{Player, Said};

/// What becomes of a call.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Strike {
    /// The program is killed before it.
    Kill,
    /// Half of a write is done, then the program is killed; other calls as with `Kill`.
    Torn,
    /// The disk fails at it.
    Broken,
    /// No space is left from it on.
    Full,
    /// Nothing is allowed from it on.
    Forbidden,
    /// The disk is read-only from it on.
    ReadOnly,
}

impl Strike {
    const fn word(self) -> &'static str {
        match self {
            Self::Kill => "kill",
            Self::Torn => "torn",
            Self::Full => "full",
            Self::Broken => "broken",
            Self::Forbidden => "forbidden",
            Self::ReadOnly => "read-only",
        }
    }
}

fn injector() -> &'static Path {
    static BUILT: OnceLock<(tempfile::TempDir, PathBuf)> = OnceLock::new();
    let (_, library) = BUILT.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let library = folder.path().join("injector.so");
        let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/support/injector.c");
        let built = Command::new(std::env::var_os("CC").unwrap_or_else(|| "cc".into()))
            .args(["-shared", "-fPIC", "-O1", "-o"])
            .args([&library, &source])
            .arg("-ldl")
            .status()
            .unwrap();
        assert!(built.success(), "the injector does not build");
        (folder, library)
    });
    library
}

/// A run in which the call number `at` (from 1) is struck; 0 strikes none.
pub fn struck(player: &Player, arguments: &[&str], input: &str, at: usize, how: Strike) -> Said {
    let mut program = player.program();
    program
        .env("LD_PRELOAD", injector())
        .env("INJECT_UNDER", player.home().parent().unwrap())
        .env("INJECT_AT", at.to_string())
        .env("INJECT_HOW", how.word())
        .args(arguments);
    Said::run(program, input.as_bytes())
}

/// The names of the calls that a run makes, in order.
pub fn traced(player: &Player, arguments: &[&str], input: &str) -> Vec<String> {
    let trace = tempfile::NamedTempFile::new().unwrap();
    let mut program = player.program();
    program
        .env("LD_PRELOAD", injector())
        .env("INJECT_UNDER", player.home().parent().unwrap())
        .env("INJECT_TRACE", trace.path())
        .args(arguments)
        .stdout(Stdio::null());
    Said::run(program, input.as_bytes());
    std::fs::read_to_string(trace.path()).unwrap().lines().map(str::to_owned).collect()
}
