//! What a calibration learned, as text: constants and curves with how sure they are, ball by ball,
//! warnings.

use std::fmt::Write as _;

use serde::Serialize;

use crate::base::text;
use crate::launcher::{Calibrated, Estimate, Learned, NextBall, Quantity, Residual};
use crate::page::launcher_words::{dials_words, warning_words};

/// What was learned as its JSON has it.
#[derive(Debug, Serialize)]
pub struct LearnedDocument<'a> {
    pub friction: Estimate,
    pub restitution: Estimate,
    pub drag: Estimate,
    pub calibrated: &'a Calibrated,
    pub misfit: f64,
    pub residuals: &'a [Residual],
    pub warnings: Vec<String>,
    pub next: &'a Option<NextBall>,
}

impl<'a> LearnedDocument<'a> {
    pub fn tell(learned: &'a Learned) -> Self {
        Self {
            friction: learned.friction,
            restitution: learned.restitution,
            drag: learned.drag,
            calibrated: &learned.calibrated,
            misfit: learned.misfit,
            residuals: &learned.residuals,
            warnings: learned.warnings.iter().map(warning_words).collect(),
            next: &learned.next,
        }
    }
}

/// The text, at most `width` columns wide.
pub fn shown(learned: &Learned, launcher: &str, width: usize) -> String {
    let mut out = String::new();
    let balls = text::count(learned.residuals.len(), "ball");
    let head = format!("{}: learned from {balls}", text::one_line(launcher));
    let _ = writeln!(out, "{}\n\ntable", text::wrap(&head, width, ""));
    let constants: [(&str, Estimate, &str); 3] = [
        ("friction", learned.friction, "usual 0.25"),
        ("restitution", learned.restitution, "usual 0.93"),
        ("drag", learned.drag, "usual 0.54"),
    ];
    for (name, Estimate { value, give_or_take }, usual) in constants {
        let _ =
            writeln!(out, "  {}{value:>8.3} +- {give_or_take:.3}  {usual}", text::fit(name, 14));
    }
    out.push_str("dials\n");
    for curve in &learned.calibrated.curves {
        for (point, place) in curve.points.iter().zip(0..) {
            let name = if place == 0 { curve.sets.shown() } else { "" };
            let digits = if curve.sets == Quantity::Speed { 2 } else { 1 };
            let _ = writeln!(
                out,
                "  {}at {:>6}  {:>8.digits$} +- {:.digits$} {}",
                text::fit(name, 14),
                point.dial,
                point.makes,
                point.give_or_take,
                curve.sets.unit()
            );
        }
    }
    ball_by_ball(&mut out, learned);
    let trust = format!(
        "A ball left out of the fit lands {:.0} cm off, typically: trust the settings that far, on this table, \
         with these balls, inside the dial values above. +- holds for all numbers together in 95 of 100 \
         calibrations.",
        learned.calibrated.landing_off_m * 100.0
    );
    let _ = writeln!(out, "\n{}", text::wrap(&trust, width, ""));
    for warning in &learned.warnings {
        let _ =
            writeln!(out, "{}", text::wrap(&format!("- {}", warning_words(warning)), width, "  "));
    }
    if let Some(next) = &learned.next {
        let way = if next.is_service { "bounces on its own half first" } else { "thrown straight" };
        let words = format!(
            "Next most useful ball: {} ({way}); it narrows the +- by about {:.0} %.",
            dials_words(&next.dials),
            next.narrows_percent
        );
        let _ = writeln!(out, "{}", text::wrap(&words, width, "  "));
    }
    out
}

fn ball_by_ball(out: &mut String, learned: &Learned) {
    out.push_str("\nball by ball, seen minus computed, cm\n");
    let _ = writeln!(out, "  line   along  across    next   left out");
    for ball in &learned.residuals {
        let next = ball.next_m.map_or("-".to_owned(), |next_m| format!("{:.1}", next_m * 100.0));
        let _ = writeln!(
            out,
            "  {:>4}  {:>6.1}  {:>6.1}  {next:>6}     {:>6.1}",
            ball.line,
            ball.landing_m[0] * 100.0,
            ball.landing_m[1] * 100.0,
            ball.left_out_m * 100.0
        );
    }
}
