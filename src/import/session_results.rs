//! Results of a session as the player writes them down: `16/20`, 16 of 20 made.
//!
//! In the order of the printed log lines, or by serve: `bh-short-fh=16/20`. A third number says how
//! many were answered with another receive than the right one: `16/20/1`. A `-` skips a line.

use crate::base::{Finding, text};
use crate::game::{Receive, ReceiveKey, ServeId};
use crate::journal;
use crate::rehearsal::LogLine;

/// A log line filled in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Logged {
    /// Its log line; the last one where it is for several.
    pub line: u32,
    pub serve: ServeId,
    /// The receive that was right.
    pub receive: Receive,
    /// Balls made as meant.
    pub made: u32,
    /// Balls not made, with the right receive.
    pub missed: u32,
    /// Balls answered with another receive.
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

    pub const fn balls(&self) -> u32 {
        self.made.saturating_add(self.missed).saturating_add(self.wrong)
    }
}

/// Whether a result names its serve: `bh-short-fh=16/20`.
pub fn is_by_serve(given: &str) -> bool {
    given.contains('=')
}

/// Reads results against the lines of a session, with the numbers of the lines that they are for: a
/// `-` settles its line too. Every problem is reported.
///
/// # Errors
/// A finding for each result that cannot be read or cannot be.
pub fn read_results(
    lines: &[LogLine],
    given: &[String],
    called: &dyn Fn(&ServeId) -> String,
) -> Result<(Vec<Logged>, Vec<u32>), Vec<Finding>> {
    let (mut logged, mut settled, mut findings) = (Vec::new(), Vec::new(), Vec::new());
    let in_order = given.iter().filter(|text| !is_by_serve(text)).count();
    if in_order > lines.len() {
        findings.push(
            Finding::error(format!("{in_order} results for {} log lines", lines.len()))
                .hint("one result for each log line of the sheet, in order; - skips one"),
        );
    }
    let mut ordered = lines.iter();
    for text in given {
        // By serve it may be the balls of all its lines together.
        let (its, name, result): (Vec<&LogLine>, _, _) = if let Some((serve, result)) =
            text.split_once('=')
        {
            let serve = serve.trim();
            let its: Vec<&LogLine> =
                lines.iter().filter(|line| line.serve.as_str() == serve).collect();
            let known = its.first().map(|line| called(&line.serve));
            (its, known.unwrap_or_else(|| format!("`{serve}`")), result.trim())
        } else {
            let line = ordered.next();
            let name = line.map(|line| format!("line {}, {},", line.number, called(&line.serve)));
            (line.into_iter().collect(), name.unwrap_or_default(), text.trim())
        };
        if its.is_empty() && is_by_serve(text) {
            findings.push(no_line(lines, &name, called));
        }
        settled.extend(its.iter().map(|line| line.number));
        if result == "-" {
            continue;
        }
        let up_to = its.iter().map(|line| line.up_to.unwrap_or(line.balls));
        let most = up_to.fold(0, u32::saturating_add);
        match (read_counts(result), its.last()) {
            (Err(finding), _) => findings.push(finding),
            // A plan without a session has no balls yet.
            (Ok((_, balls, _)), Some(_)) if most > 0 && balls > most => findings.push(
                Finding::error(format!("`{result}`: {name} has {most} balls, not {balls}"))
                    .hint("the second number is the balls of that line or fewer; - skips a line"),
            ),
            (Ok((made, balls, wrong)), Some(line)) => logged.push(Logged {
                line: line.number,
                serve: line.serve.clone(),
                receive: line.receive.clone(),
                made,
                missed: balls - made - wrong,
                wrong,
            }),
            (Ok(_), None) => {}
        }
    }
    settled.sort_unstable();
    settled.dedup();
    if findings.is_empty() { Ok((logged, settled)) } else { Err(findings) }
}

/// A serve that was not rehearsed.
fn no_line(lines: &[LogLine], serve: &str, called: &dyn Fn(&ServeId) -> String) -> Finding {
    let mut known: Vec<String> = lines.iter().map(|line| called(&line.serve)).collect();
    known.dedup();
    Finding::error(format!("{serve} has no log line"))
        .hint(format!("it was about {}", text::and_list(&known)))
}

/// The numbers of a result, balls made, all and wrong: made and wrong are within all.
fn read_counts(given: &str) -> Result<(u32, u32, u32), Finding> {
    let numbers: Result<Vec<u32>, _> = given.split('/').map(|part| part.trim().parse()).collect();
    let (made, balls, wrong) = match numbers.as_deref() {
        Ok(&[made, balls @ 1..=10_000]) => (made, balls, 0),
        Ok(&[made, balls @ 1..=10_000, wrong]) => (made, balls, wrong),
        _ => {
            return Err(Finding::error(format!("`{given}` is not a result"))
                .hint("write 16/20 (made/balls), 16/20/1 with one wrong receive, - to skip"));
        }
    };
    if made.saturating_add(wrong) > balls {
        let what = format!("`{given}`: {made} made and {wrong} wrong do not fit into {balls}");
        return Err(Finding::error(what).hint("made/balls/wrong, made and wrong within the balls"));
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

    fn read(given: &[&str]) -> Result<Vec<Logged>, Vec<Finding>> {
        let given: Vec<String> = given.iter().map(|&text| text.to_owned()).collect();
        read_results(&lines(), &given, &ServeId::to_string).map(|(logged, _)| logged)
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
        assert_eq!(errors[0].what, "`16/21`: line 2, two, has 20 balls, not 21");
        assert!(read(&["two=16/21"]).unwrap_err()[0].what.contains("two has 20 balls"));
        assert!(read(&["3/4"]).is_ok(), "a block may end early");
        let mut swept = lines();
        swept[0].up_to = Some(30);
        assert!(
            read_results(&swept, &["16/21".to_owned()], &ServeId::to_string).is_ok(),
            "a sweep shares out by itself"
        );
        assert!(read_results(&swept, &["16/31".to_owned()], &ServeId::to_string).is_err());
        let mut plan = lines();
        plan[0].balls = 0;
        assert!(
            read_results(&plan, &["16/30".to_owned()], &ServeId::to_string).is_ok(),
            "a plan has no balls yet"
        );
    }

    #[test]
    fn what_cannot_be_is_refused_with_everything_that_is_wrong() {
        let errors = read(&["21/20", "x", "three=1/2"]).unwrap_err();
        assert_eq!(errors.len(), 3);
        assert!(errors[0].what.contains("21 made"), "{}", errors[0].what);
        assert!(errors[2].shown().contains("one and two"));
        for bad in ["4294967295/1/4294967295", "1/2/3/4", "/", "-1/2", "0/0"] {
            assert!(read(&[bad]).is_err(), "{bad}");
        }
        assert!(read(&["1/2", "1/2", "1/2"]).unwrap_err()[0].what.contains("3 results for 2"));
    }
}
