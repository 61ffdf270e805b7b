//! `launcher calibrate`: table constants and dials from a list of thrown balls.

use std::path::PathBuf;

use clap::Args;

use super::choosing::{find, outlet_m, own_stem, refused};
use crate::base::text;
use crate::cli::{Desk, Failure, World};
use crate::flight::{Constants, check_outlet};
use crate::import::thrown_balls::read_balls;
use crate::launcher::{
    FEWEST_KEPT, Launcher, Learned, Quantity, TOO_VAGUE_M, calibrate, calibrate_kept, find_teaching,
};
use crate::page::launcher_learned::shown;

/// Learn the table and the dials from thrown balls: what was entered, where they bounced
#[derive(Debug, Args)]
#[command(
    allow_negative_numbers = true,
    after_help = "The file has one line a ball: a column for each dial under its own name, then \
        first_cm (bounce on its own half, empty for a ball thrown straight), land_cm, \
        across_cm and next_cm (may be empty). Centimetres from the launcher's end line, across \
        from the centre line, + to its left. Sheets of paper on the table show the marks.\n\n\
        Examples:\n\
        \x20 secondball launcher calibrate --launcher club\n\
        \x20 secondball launcher calibrate balls.csv --launcher club"
)]
pub struct CalibrateArguments {
    /// The list of balls, CSV; without it the settings that `launcher trim` kept
    pub file: Option<PathBuf>,
    /// One of yours
    #[arg(long, value_name = "NAME")]
    pub launcher: Option<String>,
    /// Where the ball's centre left for all of them: x,y,z in metres
    #[arg(
        long = "nozzle",
        alias = "outlet",
        value_name = "X,Y,Z",
        value_delimiter = ',',
        allow_hyphen_values = true,
        default_value = "-0.2,0,0.25"
    )]
    pub outlet: Vec<f64>,
    /// A quantity whose dial has steps of unequal size: speed, top-spin, ... (may be repeated)
    #[arg(long, value_name = "QUANTITY")]
    pub stepped: Vec<Quantity>,
    /// Write what was learned to table.ron and the launcher's file
    #[arg(long)]
    pub write: bool,
    /// Print what was learned as JSON
    #[arg(long)]
    pub json: bool,
}

/// Calibrates.
///
/// # Errors
/// [`Failure`] when the file has a mistake, or its balls are too few or contradict each other.
pub fn run(
    arguments: &CalibrateArguments,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let launcher = find(arguments.launcher.as_deref(), desk, world)?;
    let stem = own_stem(&launcher, desk)?;
    let outlet_m = outlet_m(&arguments.outlet, "-0.2,0.6,0.25")?;
    check_outlet(outlet_m).map_err(|error| refused(&error))?;
    if arguments.write && stem.is_none() {
        return Err(Failure::request(
            format!("{} is a shipped launcher and cannot be written to", launcher.name),
            "make your own first: secondball launcher add NAME",
        ));
    }
    let learned = match &arguments.file {
        Some(path) => {
            let source = world.read_page(path)?;
            let file = path.display().to_string();
            let balls = read_balls(&file, &source, &launcher).map_err(Failure::Findings)?;
            calibrate(&launcher, outlet_m, &arguments.stepped, &balls)
        }
        None if find_teaching(&launcher).count() < FEWEST_KEPT => {
            return Err(Failure::request(
                format!(
                    "{} kept {} without sidespin by hand; {FEWEST_KEPT} are needed, or a list of balls",
                    launcher.name,
                    text::count(find_teaching(&launcher).count(), "setting")
                ),
                "trim another serve: secondball launcher trim SERVE",
            ));
        }
        None => calibrate_kept(&launcher),
    };
    let learned = learned.map_err(|error| {
        Failure::request(
            error.to_string(),
            "throw a ball or two again and mark where it bounces; vary one dial at a time",
        )
    })?;
    let text = |learned: &Learned, width| shown(learned, &launcher.name, width);
    world.print(&learned, arguments.json, text)?;
    let within_m = learned.calibrated.landing_within_m();
    match (arguments.write, stem) {
        (true, Some(_)) if arguments.file.is_none() && within_m > TOO_VAGUE_M => {
            Err(Failure::request(
                format!("not written: landings would be known to {:.0} cm only", within_m * 100.0),
                "trim serves that differ more in speed and spin, or throw a list of balls",
            ))
        }
        (true, Some(stem)) => {
            // What was only seen teaches dials, not the table.
            write(&learned, arguments.file.is_some(), &launcher, &stem, desk, world)
        }
        (_, Some(_)) => Ok(writeln!(world.err, "nothing was written; --write keeps it")?),
        _ => Ok(()),
    }
}

fn write(
    learned: &Learned,
    has_table: bool,
    launcher: &Launcher,
    stem: &str,
    desk: &Desk,
    world: &mut World<'_>,
) -> Result<(), Failure> {
    let home = desk.home()?;
    let rounded = |value: f64| (value * 1e4).round() / 1e4;
    if has_table {
        let was: Option<Constants> = home.read_ron("table.ron")?;
        let mut constants = was.unwrap_or_default();
        constants.surface.friction = rounded(learned.constants.surface.friction);
        constants.surface.restitution = rounded(learned.constants.surface.restitution);
        constants.air.drag = rounded(learned.constants.air.drag);
        home.write_ron("table.ron", was.as_ref(), &constants)?;
    }
    let file = format!("launchers/{stem}.ron");
    home.write_ron(&file, Some(launcher), &learned.applied(launcher))?;
    let table = if has_table { "table.ron and " } else { "" };
    writeln!(world.err, "wrote {table}launchers/{}.ron", text::one_line(stem))?;
    Ok(())
}
