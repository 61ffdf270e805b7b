//! `launcher add`: a launcher's file from eight answers, by flags or by questions, or like a
//! shipped one.

use clap::Args;

use super::choosing::{no_launcher, shipped};
use crate::base::text;
use crate::cli::ask::Asker;
use crate::cli::{Desk, Failure, Result, World};
use crate::flight::service::rev_s_of;
use crate::game::{Spin, Weight, WeightName};
use crate::launcher::{Control, Described, Dial, HeadTurn, Launcher, Swing, Wheels};
use crate::page::launcher_card;
use crate::store::{self, judge_launcher_file};

/// Describe a launcher of yours: what is not given by flags is asked
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n\
        \x20 secondball launcher add\n\
        \x20 secondball launcher add hall --wheels two --head by-hand \\\n\
        \x20   --tilt 30 --swing no --stores 0 \\\n\
        \x20   --lowest 28 --slowest 25 \\\n\
        \x20   --knobs \"upper 0 10 0.5, lower 0 10 0.5, balls 1 10 1\"\n\
        \x20 secondball launcher add Sam --like partner")]
pub struct DescribeArguments {
    /// What you call it
    pub name: Option<String>,
    /// Take a shipped one instead: fixed, oscillating, per-ball, feeder or partner
    #[arg(long, value_name = "KIND", conflicts_with_all = ["wheels", "head", "spins", "knobs", "tilt", "swing", "stores", "lowest", "slowest"])]
    pub like: Option<String>,
    /// How many wheels throw the ball: one, two or three
    #[arg(long, value_name = "NUMBER")]
    pub wheels: Option<Wheels>,
    /// Whether the head turns about its own line: upright, by-hand or per-ball
    #[arg(long, value_name = "HOW", conflicts_with = "spins")]
    pub head: Option<HeadTurn>,
    /// One wheel: the spin of its slowest and of its fastest ball: "light topspin, heavy topspin"
    #[arg(long, value_name = "SPIN, SPIN")]
    pub spins: Option<String>,
    /// Its knobs in the order they are set, each with its least mark, its most and the step; one
    /// with a name of its own says what it turns: "A=upper 0 10 0.5"
    #[arg(long, value_name = "NAME FROM TO STEP, ..")]
    pub knobs: Option<String>,
    /// Pointed down as far as it goes: centimetres lower after a metre; 0 when it does not tilt
    #[arg(long, value_name = "CM")]
    pub tilt: Option<f64>,
    /// Whether it swings to the sides: no, by-hand or by-itself
    #[arg(long, value_name = "HOW")]
    pub swing: Option<Swing>,
    /// Balls of a sequence it stores; 0 when every ball is like the last
    #[arg(long, value_name = "BALLS")]
    pub stores: Option<u32>,
    /// Its nozzle at the lowest: centimetres above the table
    #[arg(long, value_name = "CM")]
    pub lowest: Option<f64>,
    /// Its slowest rate: balls a minute
    #[arg(long, value_name = "BALLS")]
    pub slowest: Option<f64>,
}

/// Adds it.
///
/// # Errors
/// [`Failure`] when the name is taken, an answer cannot be right or one is missing.
pub fn run(arguments: &DescribeArguments, desk: &Desk, world: &mut World<'_>) -> Result {
    let home = desk.home()?;
    let stems = home.launcher_stems()?;
    let read_name = |given: &str| {
        let (name, stem) = (text::one_line(given), text::file_stem(given));
        if stems.contains(&stem) {
            return Err(format!("there is a launcher `{stem}` already; call it something else"));
        }
        Ok((name, stem))
    };
    let mut asker = Asker::needing("what it can throw hangs on it");
    let how = "A number, a word or its beginning answers; ? says what words mean, < goes one back.";
    if world.is_terminal && arguments.like.is_none() {
        world.note(how, "")?;
    }
    let (name, stem, described) = asker.block(|asker| {
        let name = arguments.name.as_deref();
        let (name, stem) = answer(asker, world, name, "what you call it", "NAME", &read_name)?;
        let is_like = arguments.like.is_some();
        let described = if is_like { None } else { Some(described(arguments, asker, world)?) };
        Ok((name, stem, described))
    })?;
    let file = format!("launchers/{stem}.ron");
    let Some(described) = described else {
        let like = arguments.like.as_deref().unwrap_or_default();
        let (kind, shipped) = shipped(like).ok_or_else(|| no_launcher(like, &[]))?;
        // The shipped text with its comments, under the player's own name.
        let line = |line: &str| {
            if line.starts_with("    name: ") {
                return format!("    name: {name:?},\n");
            }
            format!("{line}\n")
        };
        let own: String = shipped.lines().map(line).collect();
        store::judge_launcher(&file, &own).map_err(Failure::Findings)?;
        home.write_text(&file, &own)?;
        return Ok(writeln!(world.err, "wrote {file}, like the shipped `{kind}`")?);
    };
    let mut launcher = described.build(name);
    launcher.source = Some("as described; speeds and spins are common practice".to_owned());
    let found = judge_launcher_file(&launcher);
    if !found.is_empty() {
        return Err(Failure::Findings(found.into_iter().map(|judged| judged.finding).collect()));
    }
    home.write_ron::<Launcher>(&file, None, &launcher)?;
    write!(world.out, "{}", launcher_card::card(&launcher, world.width))?;
    writeln!(world.err, "wrote {file}")?;
    world.next(&format!("launcher aim --launcher {stem}"))
}

/// Flags, and answers to what they leave open.
fn described(
    arguments: &DescribeArguments,
    asker: &mut Asker,
    world: &mut World<'_>,
) -> Result<Described> {
    let wheels = match arguments.wheels {
        Some(wheels) => wheels,
        None => asker.word(world, "wheels", None)?.ok_or_else(|| missing("--wheels two"))?,
    };
    let (mut head, mut tied_rev_s) = (HeadTurn::Upright, [0.0; 2]);
    if wheels == Wheels::One {
        let question = "spin of its slowest and its fastest ball (light topspin, heavy topspin)";
        tied_rev_s =
            answer(asker, world, arguments.spins.as_deref(), question, "--spins", &read_spins)?;
    } else {
        head = match arguments.head {
            Some(head) => head,
            None => asker.word(world, "head", None)?.ok_or_else(|| missing("--head by-hand"))?,
        };
    }
    let knobs = match &arguments.knobs {
        Some(given) => read_knobs(given).map_err(|why| {
            Failure::request(why, "--knobs \"upper 0 10 0.5, balls 1 10 1\": name, from, to, step")
        })?,
        None => ask_knobs(asker, world)?,
    };
    let mut number = |world: &mut World<'_>, given: Option<f64>, question: &str, flag: &str| {
        let given = given.map(|given| given.to_string());
        answer(asker, world, given.as_deref(), question, flag, &read_number)
    };
    let question = "pointed down as far as it goes, how many cm lower after a metre (0: no tilt)";
    let tilt_cm = number(world, arguments.tilt, question, "--tilt")?;
    let question = "lowest nozzle, cm above the table, on its legs or on a wedged chair";
    let lowest_cm = number(world, arguments.lowest, question, "--lowest")?;
    let slowest_a_minute =
        number(world, arguments.slowest, "slowest rate, balls a minute", "--slowest")?;
    let swing = match arguments.swing {
        Some(swing) => swing,
        None => asker.word(world, "swings", None)?.ok_or_else(|| missing("--swing no"))?,
    };
    let stores = arguments.stores.map(|stores| stores.to_string());
    let question = "balls of a sequence it stores (0: none)";
    let stored_balls = answer(asker, world, stores.as_deref(), question, "--stores", &|given| {
        given.parse::<u32>().map_err(|_| format!("`{given}` is not a number of balls"))
    })?;
    Ok(Described {
        wheels,
        head,
        tied_rev_s,
        knobs,
        tilt_cm,
        swing,
        stored_balls,
        lowest_cm,
        slowest_a_minute,
    })
}

fn missing(flag: &str) -> Failure {
    Failure::request(
        "a launcher is described by its name and eight answers, and one is missing",
        format!("add `{flag}`; `secondball launcher add --help` shows all of them"),
    )
}

/// What a flag says, else what is answered.
fn answer<T>(
    asker: &mut Asker,
    world: &mut World<'_>,
    given: Option<&str>,
    question: &str,
    flag: &str,
    read: &dyn Fn(&str) -> Result<T, String>,
) -> Result<T> {
    match given {
        Some(given) => {
            read(given).map_err(|why| Failure::request(why, format!("{flag} answers: {question}")))
        }
        None => loop {
            if let Some(value) = asker.read(world, question, read)? {
                return Ok(value);
            }
            if asker.has_ended() {
                return Err(missing(flag));
            }
        },
    }
}

fn read_number(given: &str) -> Result<f64, String> {
    let number = given.replace(',', ".").parse().ok().filter(|number: &f64| number.is_finite());
    number.filter(|number| *number >= 0.0).ok_or_else(|| format!("`{given}` is not a number"))
}

/// `light topspin, heavy topspin` as rev/s, + topspin.
fn read_spins(given: &str) -> Result<[f64; 2], String> {
    let read = |words: &str| {
        let (weight, spin) = match words.trim().split_once(' ') {
            Some((weight, spin)) if weight.parse::<WeightName>().is_ok() => (weight, spin),
            _ => ("medium", words),
        };
        let spin: Spin = spin.trim().parse().map_err(|error| format!("{error}"))?;
        let rev_s = match weight.parse::<WeightName>() {
            Ok(WeightName::Light) => rev_s_of(Weight::Light),
            Ok(WeightName::Heavy) => rev_s_of(Weight::Heavy),
            _ => rev_s_of(Weight::Medium),
        };
        match spin {
            Spin::Topspin => Ok(rev_s),
            Spin::Backspin => Ok(-rev_s),
            Spin::Dead => Ok(0.0),
            other => Err(format!("one wheel makes topspin, backspin or no spin, not {other}")),
        }
    };
    match given.split(',').collect::<Vec<_>>()[..] {
        [slow, fast] => Ok([read(slow)?, read(fast)?]),
        _ => Err("two spins with a comma between: light topspin, heavy topspin".to_owned()),
    }
}

/// A knob as far as it is said: its name, what it turns, its marks and the step between.
#[derive(Debug)]
struct SaidKnob<'a> {
    given: &'a str,
    name: String,
    sets: Option<Control>,
    marks: Vec<f64>,
}

impl<'a> SaidKnob<'a> {
    /// Reads `upper 0 10 0.5`, `lower 0-10`, `A=rate 1 to 10 by 1`.
    fn read(given: &'a str) -> Result<Self, String> {
        let spaced = given.replace(['–', '—'], "-");
        let tokens = spaced.split_whitespace().flat_map(|token| match token.split_once('-') {
            // `0-10` is from 0 to 10, `-10` a number.
            Some((from, to)) if from.parse::<f64>().is_ok() => vec![from, to],
            _ => vec![token],
        });
        let (mut name, mut marks) = (Vec::new(), Vec::new());
        for token in tokens {
            match token.parse::<f64>() {
                Ok(number) if !name.is_empty() => marks.push(number),
                _ if marks.is_empty() => name.push(token),
                _ if matches!(token, "to" | "by" | "in" | "steps" | "step" | "of") => {}
                _ => return Err(format!("`{token}` in `{given}` is not a number")),
            }
        }
        let name = name.join(" ");
        let (name, turns) = name.split_once('=').unwrap_or((&name, &name));
        let sets = turns.trim().parse().ok();
        Ok(Self { given, name: name.trim().to_owned(), sets, marks })
    }

    /// The dial: half a mark where no step is said.
    fn dial(self) -> Result<Dial, String> {
        let Self { given, name, sets, marks } = self;
        let Some(sets) = sets else {
            let known: Vec<&str> = Control::ALL.iter().map(|control| control.shown()).collect();
            return Err(format!(
                "what does the knob `{name}` turn? write {name}=upper wheel, or another of {}",
                text::and_list(&known)
            ));
        };
        // Nobody turns a knob to lift a nozzle: it is the height of the flight.
        let sets = if sets == Control::Height { Control::Elevation } else { sets };
        match marks[..] {
            [least, most] => Ok(Dial { name, sets, least, most, notch: 0.5 }),
            [least, most, notch] => Ok(Dial { name, sets, least, most, notch }),
            _ => Err(format!("`{given}`: a name, the first mark, the last, and the step between")),
        }
    }
}

fn read_knobs(given: &str) -> Result<Vec<Dial>, String> {
    given.split(',').map(|one| SaidKnob::read(one.trim())?.dial()).collect()
}

/// Asks for one knob after the other, and for what its line leaves open.
fn ask_knobs(asker: &mut Asker, world: &mut World<'_>) -> Result<Vec<Dial>> {
    let how = "  Its knobs in the order you set them: the name on the panel, the first and the last \
               mark. Enter when there are no more.";
    asker.say(world, how)?;
    let mut knobs = Vec::new();
    loop {
        let question = format!("  knob {}, for example upper 0 to 10", knobs.len() + 1);
        let Some(given) = asker.line(world, &question)? else {
            if knobs.is_empty() && asker.has_ended() {
                return Err(missing("--knobs \"upper 0 10 0.5\""));
            } else if knobs.is_empty() {
                asker.refuse();
                writeln!(world.err, "    without one nothing can be set")?;
                continue;
            }
            return Ok(knobs);
        };
        for one in given.split(',').map(str::trim) {
            let mut said = match SaidKnob::read(one) {
                Ok(said) => said,
                Err(why) => {
                    writeln!(world.err, "    {why}")?;
                    asker.refuse();
                    break;
                }
            };
            if said.sets.is_none() {
                said.sets = asker.word(world, &format!("{} turns", said.name), None)?;
            }
            if said.marks.len() < 2 {
                let marks = |given: &str| Ok(SaidKnob::read(&format!("it {given}"))?.marks);
                let question = format!("  {}: first and last mark (Enter: 0 to 10)", said.name);
                said.marks = asker.read(world, &question, marks)?.unwrap_or(vec![0.0, 10.0]);
            }
            match said.dial() {
                Ok(dial) => knobs.push(dial),
                Err(why) => writeln!(world.err, "    {why}")?,
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dial(given: &str) -> (String, Control, [f64; 3]) {
        let Dial { name, sets, least, most, notch } = read_knobs(given).unwrap().remove(0);
        (name, sets, [least, most, notch])
    }

    #[test]
    fn a_knob_is_read_however_its_scale_is_written() {
        assert_eq!(dial("upper 0 10"), ("upper".to_owned(), Control::UpperWheel, [0.0, 10.0, 0.5]));
        assert_eq!(dial("balls 1-10 1").2, [1.0, 10.0, 1.0]);
        assert_eq!(dial("spin -10 to 10 by 1").2, [-10.0, 10.0, 1.0]);
        assert_eq!(dial("A=lower wheel 0 9 1").1, Control::LowerWheel);
        assert_eq!(dial("height 0 10").1, Control::Elevation);
        assert!(read_knobs("A 0 10").unwrap_err().contains("write A=upper wheel"));
        assert!(read_knobs("upper 0 ten").unwrap_err().contains("`ten`"));
    }

    #[test]
    fn one_wheel_is_described_by_the_spins_of_its_slowest_and_fastest_ball() {
        assert_eq!(read_spins("light topspin, heavy topspin"), Ok([20.0, 50.0]));
        assert_eq!(read_spins("no spin, backspin"), Ok([0.0, -35.0]));
        assert!(read_spins("light sidespin, heavy").is_err());
    }
}
