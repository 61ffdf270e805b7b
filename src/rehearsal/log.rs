//! What is written down after a block, and how it is read back: `16/20`, 16 of 20 made.
//!
//! In the order of the printed log lines, or by serve: `bh-short-fh=16/20`. A third number says how many
//! were answered with another receive than the right one: `16/20/1`. A `-` skips a line.

use serde::{Deserialize, Serialize};

use crate::base::Finding;
use crate::game::{Receive, ReceiveKey, ServeId};
use crate::journal;

/// One line to fill in: balls of one serve with one receive in one block.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LogLine {
    /// Counts through the session from 1.
    pub number: u32,
    /// The serve.
    pub serve: ServeId,
    /// The receive that is right.
    pub receive: Receive,
    /// Balls of it.
    pub balls: u32,
    /// As many of it as the launcher may throw, where the launcher shares them out itself.
    #[serde(default)]
    pub up_to: Option<u32>,
}

impl LogLine {
    /// The most balls that can be written down for it; 0 when that is open.
    fn most(&self) -> u32 {
        self.up_to.unwrap_or(self.balls)
    }
}

/// A line filled in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Logged {
    /// The serve.
    pub serve: ServeId,
    /// The receive that was right.
    pub receive: Receive,
    /// Made as meant.
    pub made: u32,
    /// Not made, with the right receive.
    pub missed: u32,
    /// Answered with another receive.
    pub wrong: u32,
}

impl Logged {
    /// The fact for the journal.
    pub fn fact(&self, deck: &str) -> journal::Fact {
        journal::Fact::Ball(journal::Ball {
            deck: deck.to_owned(),
            serve: self.serve.clone(),
            right: ReceiveKey::from_receive(&self.receive),
            made: self.made,
            missed: self.missed,
            wrong: self.wrong,
        })
    }
}

/// A result that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LogError {
    /// Not a result at all.
    #[error("`{given}` is not a result")]
    Form {
        /// As given.
        given: String,
    },
    /// More made and wrong than balls.
    #[error("`{given}`: {made} made and {wrong} wrong do not fit into {balls}")]
    TooMany {
        /// As given.
        given: String,
        /// Made.
        made: u32,
        /// Wrong.
        wrong: u32,
        /// Balls.
        balls: u32,
    },
    /// More balls than its line has.
    #[error("`{given}`: {line} has {most} balls, not {balls}")]
    OtherLine {
        /// As given.
        given: String,
        /// The line as printed on the sheet, or the serve.
        line: String,
        /// Balls it has.
        most: u32,
        /// Balls given.
        balls: u32,
    },
    /// More results than lines.
    #[error("{given} results for {lines} log lines")]
    TooLong {
        /// Results given.
        given: usize,
        /// Lines there are.
        lines: usize,
    },
    /// A serve that was not rehearsed.
    #[error("`{serve}` has no log line")]
    UnknownServe {
        /// As given.
        serve: String,
        /// The serves there are.
        known: Vec<String>,
    },
}

impl LogError {
    /// As a finding with the way out.
    pub fn finding(&self) -> Finding {
        let hint = match self {
            Self::Form { .. } => {
                "write 16/20 (made/balls), 16/20/1 with one wrong receive, - to skip".to_owned()
            }
            Self::OtherLine { .. } => {
                "the second number is the balls of that line or fewer; - skips a line".to_owned()
            }
            Self::TooMany { .. } => "made/balls/wrong, made and wrong within the balls".to_owned(),
            Self::TooLong { .. } => {
                "one result for each log line of the sheet, in order; - skips one".to_owned()
            }
            Self::UnknownServe { known, .. } => format!("it was about {}", known.join(", ")),
        };
        Finding::error(self.to_string()).hint(hint)
    }
}

/// Whether a result names its serve: `bh-short-fh=16/20`.
pub fn is_by_serve(given: &str) -> bool {
    given.contains('=')
}

/// The numbers of the lines that the results are for; a `-` settles its line too.
pub fn answered(lines: &[LogLine], given: &[String]) -> Vec<u32> {
    let in_order = given.iter().filter(|text| !is_by_serve(text)).count();
    let named: Vec<&str> =
        given.iter().filter_map(|text| Some(text.split_once('=')?.0.trim())).collect();
    let settled = lines
        .iter()
        .zip(0..)
        .filter(|(line, place)| *place < in_order || named.contains(&line.serve.as_str()));
    settled.map(|(line, _)| line.number).collect()
}

/// Reads results against the lines of a session; every problem is reported.
///
/// # Errors
/// All [`LogError`]s of the request.
pub fn read_log(lines: &[LogLine], given: &[String]) -> Result<Vec<Logged>, Vec<LogError>> {
    let mut logged = Vec::new();
    let mut errors = Vec::new();
    let mut place = 0;
    let positional = given.iter().filter(|text| !is_by_serve(text)).count();
    if positional > lines.len() {
        errors.push(LogError::TooLong { given: positional, lines: lines.len() });
    }
    for text in given {
        let is_named = is_by_serve(text);
        let (line, result) = if let Some((serve, result)) = text.split_once('=') {
            let found = lines.iter().rev().find(|line| line.serve.as_str() == serve.trim());
            if found.is_none() {
                errors.push(unknown(lines, serve));
            }
            (found, result)
        } else {
            place += 1;
            (lines.get(place - 1), text.as_str())
        };
        if result.trim() == "-" {
            continue;
        }
        match (numbers(result), line) {
            (Err(error), _) => errors.push(error),
            (Ok((made, balls, wrong)), Some(line)) => {
                // By serve it may be all of them together; a plan without a session has no balls.
                let most = if is_named {
                    let its = lines.iter().filter(|other| other.serve == line.serve);
                    its.map(LogLine::most).sum()
                } else {
                    line.most()
                };
                if most > 0 && balls > most {
                    let serve = &line.serve;
                    errors.push(LogError::OtherLine {
                        given: result.trim().to_owned(),
                        line: if is_named {
                            format!("`{serve}`")
                        } else {
                            format!("line {}, `{serve}`,", line.number)
                        },
                        most,
                        balls,
                    });
                    continue;
                }
                logged.push(Logged {
                    serve: line.serve.clone(),
                    receive: line.receive.clone(),
                    made,
                    missed: balls - made - wrong,
                    wrong,
                });
            }
            (Ok(_), None) => {}
        }
    }
    if errors.is_empty() { Ok(logged) } else { Err(errors) }
}

fn unknown(lines: &[LogLine], serve: &str) -> LogError {
    let mut known: Vec<String> = Vec::new();
    for line in lines {
        if !known.iter().any(|have| have == line.serve.as_str()) {
            known.push(line.serve.to_string());
        }
    }
    LogError::UnknownServe { serve: serve.trim().to_owned(), known }
}

/// Made, balls, wrong.
fn numbers(given: &str) -> Result<(u32, u32, u32), LogError> {
    let form = || LogError::Form { given: given.trim().to_owned() };
    let parts: Vec<u32> = given
        .split('/')
        .map(|part| part.trim().parse().map_err(|_| form()))
        .collect::<Result<_, _>>()?;
    let (made, balls, wrong) = match parts[..] {
        [made, balls] => (made, balls, 0),
        [made, balls, wrong] => (made, balls, wrong),
        _ => return Err(form()),
    };
    if balls == 0 || balls > 10_000 {
        return Err(form());
    }
    if made.saturating_add(wrong) > balls {
        return Err(LogError::TooMany { given: given.trim().to_owned(), made, wrong, balls });
    }
    Ok((made, balls, wrong))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines() -> Vec<LogLine> {
        ["one", "two"]
            .iter()
            .zip(1..)
            .map(|(id, number)| LogLine {
                number,
                serve: id.parse().unwrap(),
                receive: "forehand push to middle short".parse().unwrap(),
                balls: 20,
                up_to: None,
            })
            .collect()
    }

    fn read(given: &[&str]) -> Result<Vec<Logged>, Vec<LogError>> {
        read_log(&lines(), &given.iter().map(|&text| text.to_owned()).collect::<Vec<_>>())
    }

    #[test]
    fn results_are_read_in_order_or_by_serve() {
        let logged = read(&["16/20", "9/12/2"]).unwrap();
        assert_eq!((logged[0].made, logged[0].missed, logged[0].wrong), (16, 4, 0));
        assert_eq!((logged[1].made, logged[1].missed, logged[1].wrong), (9, 1, 2));
        let by_serve = read(&["two=3/4"]).unwrap();
        assert_eq!(by_serve[0].serve.as_str(), "two");
        let skipped = read(&["-", "5/5"]).unwrap();
        assert_eq!((skipped.len(), skipped[0].serve.as_str()), (1, "two"));
    }

    #[test]
    fn a_result_for_more_balls_than_its_line_has_names_the_line() {
        let errors = read(&["16/20", "16/21"]).unwrap_err();
        assert_eq!(errors.len(), 1);
        assert_eq!(errors[0].to_string(), "`16/21`: line 2, `two`, has 20 balls, not 21");
        assert!(read(&["two=16/21"]).unwrap_err()[0].to_string().contains("`two` has 20 balls"));
        assert!(read(&["3/4"]).is_ok(), "a block may end early");
        let mut swept = lines();
        swept[0].up_to = Some(30);
        assert!(read_log(&swept, &["16/21".to_owned()]).is_ok(), "a sweep shares out by itself");
        assert!(read_log(&swept, &["16/31".to_owned()]).is_err());
        let mut plan = lines();
        plan[0].balls = 0;
        assert!(read_log(&plan, &["16/30".to_owned()]).is_ok(), "a plan has no balls yet");
    }

    #[test]
    fn what_cannot_be_is_refused_with_everything_that_is_wrong() {
        let errors = read(&["21/20", "x", "three=1/2"]).unwrap_err();
        assert_eq!(errors.len(), 3);
        assert!(errors[0].to_string().contains("21 made"), "{}", errors[0]);
        assert!(errors[2].finding().shown().contains("one, two"));
        for bad in ["4294967295/1/4294967295", "1/2/3/4", "/", "-1/2", "0/0"] {
            assert!(read(&[bad]).is_err(), "{bad}");
        }
        assert!(matches!(read(&["1/2", "1/2", "1/2"]).unwrap_err()[0], LogError::TooLong { .. }));
    }
}
