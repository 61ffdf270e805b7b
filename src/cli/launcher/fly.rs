//! `launcher fly`: one ball from its launch, over its bounces, to what it comes to.

use std::path::PathBuf;

use clap::Args;

use super::choosing::{outlet_m, own_table, refused};
use crate::cli::{Desk, Failure, World};
use crate::flight::{Launch, SpinRate, Until, fly};
use crate::page::flight::FlownDocument;
use crate::page::flight_picture;

/// Fly one ball: where it bounces, when, how high over the net, whether it is legal
#[derive(Debug, Args)]
#[command(
    allow_negative_numbers = true,
    after_help = "Lengths in metres from the centre of the launcher's end line: x to the receiver, \
        y to the launcher's left, z up. Elevation - points down, azimuth + to the left. Top \
        spin + is topspin, - backspin; sidespin + bends to the launcher's left.\n\n\
        Examples:\n\
        \x20 secondball launcher fly --nozzle -0.1,0,0.2 --speed 5.3 \\\n\
        \x20   --elevation -16 --top -40\n\
        \x20 secondball launcher fly --nozzle -0.4,0.6,0.2 \\\n\
        \x20   --speed 9.2 --elevation -11 --azimuth -12 --json"
)]
pub struct FlyArguments {
    /// Where the ball's centre leaves: x,y,z in metres
    #[arg(
        long = "nozzle",
        alias = "outlet",
        value_name = "X,Y,Z",
        value_delimiter = ',',
        allow_hyphen_values = true,
        default_value = "-0.1,0,0.2"
    )]
    pub outlet: Vec<f64>,
    /// Speed in m/s
    #[arg(long, value_name = "M/S")]
    pub speed: f64,
    /// Degrees up; - points down
    #[arg(long, value_name = "DEGREES", default_value_t = 0.0)]
    pub elevation: f64,
    /// Degrees to the launcher's left
    #[arg(long, value_name = "DEGREES", default_value_t = 0.0)]
    pub azimuth: f64,
    /// Topspin +, backspin -
    #[arg(long, value_name = "REV/S", default_value_t = 0.0)]
    pub top: f64,
    /// Side spin
    #[arg(long, value_name = "REV/S", default_value_t = 0.0)]
    pub side: f64,
    /// Corkscrew spin
    #[arg(long, value_name = "REV/S", default_value_t = 0.0)]
    pub gyro: f64,
    /// Bounces to follow, at most 9
    #[arg(long, value_name = "NUMBER", default_value_t = 3, value_parser = clap::value_parser!(u8).range(1..=9))]
    pub bounces: u8,
    /// Write the picture as SVG
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Print the numbers as JSON
    #[arg(long)]
    pub json: bool,
}

/// Flies it.
///
/// # Errors
/// [`Failure`] when a number is impossible.
pub fn run(arguments: &FlyArguments, desk: &Desk, world: &mut World<'_>) -> Result<(), Failure> {
    let outlet_m = outlet_m(&arguments.outlet, "-0.1,0,0.2")?;
    let (constants, is_own_table) = own_table(desk)?;
    let launch = Launch {
        outlet_m,
        speed_m_s: arguments.speed,
        elevation_deg: arguments.elevation,
        azimuth_deg: arguments.azimuth,
        spin: SpinRate {
            top_rev_s: arguments.top,
            side_rev_s: arguments.side,
            gyro_rev_s: arguments.gyro,
        },
    };
    let until = Until { bounces: arguments.bounces.into(), time_s: 6.0 };
    let path = fly(&launch, &constants, until).map_err(|error| refused(&error))?;
    let flown = FlownDocument::read_path(launch, constants, is_own_table, &path);
    world.print(&flown, arguments.json, |flown, width| {
        format!("{}\n{}", flown.text(), flight_picture::terminal(&path, width))
    })?;
    if let Some(file) = &arguments.svg {
        let FlyArguments { speed, elevation, azimuth, top, side, .. } = arguments;
        let title = format!(
            "{speed:.1} m/s, {elevation:.1} degrees up, {azimuth:.1} left, top {top:.0}, side {side:.0} rev/s"
        );
        world.write_page(file, &flight_picture::svg(&path, &title))?;
    }
    Ok(())
}
