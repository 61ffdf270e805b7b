//! A command line that is none, in our words: what was meant, and how it is typed.

use clap::Command;
use clap::error::{ContextKind, ContextValue, Error, ErrorKind};

use crate::base::{Finding, UnknownWord, text};

/// What is wrong with the words typed; none for help, the version, and what only the parser can
/// say.
pub fn finding(error: &Error, typed: &[String], root: &Command) -> Option<Finding> {
    let said = |kind| match error.get(kind)? {
        ContextValue::String(word) => Some(word.clone()),
        ContextValue::Strings(words) => Some(words.join(" ")),
        _ => None,
    };
    let (path, command, rest) = read_path(typed, root);
    let line = path.join(" ");
    let help = format!("`{line} --help` has two examples");
    let given = said(ContextKind::InvalidSubcommand);
    let stray = rest.iter().find(|word| !word.starts_with('-'));
    match error.kind() {
        ErrorKind::InvalidSubcommand => Some(not_a_command(&line, &given?, rest, command)),
        // A word that is no command of its own stood where an opponent may stand.
        ErrorKind::ArgumentConflict if given.is_some() => {
            Some(not_a_command(&line, stray?, rest, command))
        }
        ErrorKind::UnknownArgument => {
            let given = said(ContextKind::InvalidArg)?;
            let what = format!("`{given}` does not belong in `{line}`");
            let hint = match said(ContextKind::SuggestedArg) {
                Some(meant) => format!("did you mean `{meant}`?"),
                None if given.starts_with('-') => help,
                None => format!("a name of several words stands in quotes; {help}"),
            };
            Some(Finding::error(what).hint(hint))
        }
        ErrorKind::MissingRequiredArgument => {
            let words = said(ContextKind::InvalidArg)?.to_lowercase().replace(['<', '>', '.'], "");
            // By place or by flag: by place.
            let words = words.split(' ').map(|word| word.split('|').next().unwrap_or(word));
            let mut words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
            words.dedup();
            Some(Finding::error(format!("`{line}` needs: {}", text::and_list(&words))).hint(help))
        }
        ErrorKind::ValueValidation | ErrorKind::InvalidValue => {
            let (given, of) = (said(ContextKind::InvalidValue)?, said(ContextKind::InvalidArg)?);
            let source = std::error::Error::source(error);
            let why = match source.and_then(|source| source.downcast_ref::<UnknownWord>()) {
                Some(word) => {
                    let words: Vec<_> = word.words.iter().map(|it| it.replace('_', "-")).collect();
                    format!("`{given}` is none of {}", text::and_list(&words))
                }
                None => source.map_or(format!("`{given}` is no value of it"), ToString::to_string),
            };
            // What can stand there has been said, if only by the list.
            let of = of.split(" <").next().unwrap_or(&of).to_owned();
            Some(Finding::error(format!("{of}: {why}")).hint(help))
        }
        _ => None,
    }
}

/// The words that are commands, the command they lead to, and what stands behind them.
fn read_path<'a>(
    typed: &'a [String],
    root: &'a Command,
) -> (Vec<&'a str>, &'a Command, &'a [String]) {
    let (mut path, mut command) = (vec![root.get_name()], root);
    // What goes with every command may stand before it.
    let first = typed.iter().position(|word| root.find_subcommand(word).is_some());
    let mut rest = typed.get(first.unwrap_or(1)..).unwrap_or_default();
    while let Some(found) = rest.first().and_then(|word| command.find_subcommand(word)) {
        (command, rest) = (found, &rest[1..]);
        path.push(found.get_name());
    }
    (path, command, rest)
}

fn not_a_command(line: &str, stray: &str, rest: &[String], command: &Command) -> Finding {
    let behind = rest.iter().skip_while(|word| *word != stray).skip(1);
    let others: Vec<&String> = behind.filter(|word| !word.starts_with('-')).collect();
    let known: Vec<&str> =
        command.get_subcommands().map(Command::get_name).filter(|name| *name != "help").collect();
    let typed = |words: &[&str]| {
        let words: Vec<_> = words.iter().map(|word| text::typed(word)).collect();
        format!("`{line} {}`", words.join(" "))
    };
    let other = others.first().map_or("", |word| word.as_str());
    let hint = if known.contains(&other) {
        format!("what is to be done comes first: {}", typed(&[other, stray]))
    } else if let Some(meant) = text::closest(stray, &known) {
        let words = if other.is_empty() { vec![meant] } else { vec![meant, other] };
        format!("did you mean {}?", typed(&words))
    } else {
        let alone =
            if other.is_empty() { String::new() } else { format!("{}, or ", typed(&[other])) };
        format!("{alone}`{line}` with {}", text::or_list(&known))
    };
    Finding::error(format!("`{line} {stray}` is not a command")).hint(hint)
}

#[cfg(test)]
mod tests {
    use clap::{CommandFactory, Parser};

    use super::*;
    use crate::cli::arguments::Arguments;

    fn told(line: &str) -> String {
        let typed: Vec<String> = line.split(' ').map(str::to_owned).collect();
        let error = Arguments::try_parse_from(&typed).unwrap_err();
        finding(&error, &typed, &Arguments::command()).unwrap().shown()
    }

    #[test]
    fn a_word_that_is_no_command_gets_the_nearest_or_the_way_it_is_typed() {
        for (line, hint) in [
            ("secondball --seed 1 chek", "did you mean `secondball check`?"),
            ("secondball plan chose bo", "did you mean `secondball plan choose bo`?"),
            ("secondball plan show bo", "`secondball plan bo`, or `secondball plan` with choose"),
            ("secondball scout new Kim", "`secondball scout Kim`, or `secondball scout` with add"),
            ("secondball plan bo set", "what is to be done comes first: `secondball plan set bo`"),
            ("secondball sheet --papr a6", "did you mean `--paper`?"),
            ("secondball plan set bo", "`secondball plan set --help` has two examples"),
            (
                "secondball scout Kim --likes frog",
                "--likes: `frog` is none of short, long-push, flick",
            ),
        ] {
            let said = told(line);
            assert!(said.contains(hint), "{line}: {said}");
        }
    }
}
