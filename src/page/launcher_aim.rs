//! The settings of a deck for a launcher, as text and as the JSON of `launcher aim`.
//!
//! Lengths are metres in the launcher's frame. One document, made by `launcher`; here it is only shown.

use std::fmt::Write as _;

use serde::Serialize;

use crate::base::text;
use crate::flight::Constants;
use crate::launcher::{
    AimedBall, DeckAim, Launcher, Limit, ServeAim, Settings, TRUST_WITHOUT_CALIBRATION_M, Throw,
};

/// The version of the JSON form.
pub const FORMAT: u32 = 1;

/// The document.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Document {
    /// The version of this form.
    pub format: u32,
    /// The opponent.
    pub opponent: String,
    /// The launcher's name.
    pub launcher: String,
    /// How far a landing may be off, metres.
    pub trust_m: f64,
    /// The same in words.
    pub trust: String,
    /// The ball, air and table the settings were computed for.
    pub constants: Constants,
    /// The settings.
    #[serde(flatten)]
    pub aim: DeckAim,
    /// Short cautions.
    pub cautions: Vec<String>,
}

impl Document {
    /// Puts it together.
    pub fn new(
        opponent: &str,
        launcher: &Launcher,
        (constants, is_own_table): (Constants, bool),
        aim: DeckAim,
        cautions: Vec<String>,
    ) -> Self {
        let (trust_m, trust) = trust(launcher, is_own_table);
        Self {
            format: FORMAT,
            opponent: opponent.to_owned(),
            launcher: launcher.name.clone(),
            trust_m,
            trust,
            constants,
            aim,
            cautions,
        }
    }
}

/// How far to trust the settings.
fn trust(launcher: &Launcher, is_own_table: bool) -> (f64, String) {
    let without_cm = TRUST_WITHOUT_CALIBRATION_M * 100.0;
    match (&launcher.calibrated, is_own_table) {
        (Some(own), true) => (
            own.landing_off_m,
            format!(
                "landings are off by about {:.0} cm: so it was with {} at calibration. Another table, ball or \
                 hall counts as not calibrated.",
                own.landing_off_m * 100.0,
                text::count(own.balls as usize, "ball"),
            ),
        ),
        (Some(_), false) => (
            TRUST_WITHOUT_CALIBRATION_M,
            format!(
                "about {without_cm:.0} cm: the dials are calibrated, this table is not. Trim first."
            ),
        ),
        (None, true) => (
            TRUST_WITHOUT_CALIBRATION_M,
            format!(
                "about {without_cm:.0} cm: the table is calibrated, the dials are not. Set them by the first \
                 bounce, then trim."
            ),
        ),
        (None, false) => (
            TRUST_WITHOUT_CALIBRATION_M,
            format!(
                "about {without_cm:.0} cm in the landing, nothing is calibrated. This is where to start; then \
                 `secondball launcher trim --help`, and once `secondball launcher calibrate --help`."
            ),
        ),
    }
}

/// The text, at most `width` columns wide.
pub fn shown(document: &Document, width: usize) -> String {
    let mut page = Page { out: String::new(), width };
    let aim = &document.aim;
    let _ = writeln!(
        page.out,
        "{}",
        text::wrap(
            &format!(
                "Settings against {} for {}",
                text::one_line(&document.opponent),
                text::one_line(&document.launcher)
            ),
            width,
            ""
        )
    );
    page.labelled("trust", &document.trust);
    if let Some(height) = &aim.height {
        page.labelled("height", height);
    }
    for (group, number) in aim.groups.iter().zip(1..) {
        page.out.push('\n');
        let head = if number == 1 { "set-up 1".to_owned() } else { format!("move to {number} ") };
        page.labelled(&head, &group.words);
        for one in &group.serves {
            page.serve(one);
        }
    }
    if !aim.cannot.is_empty() {
        page.out.push_str("\nNot with this launcher\n");
        for cannot in &aim.cannot {
            let _ = writeln!(page.out, "\n{}", text::one_line(cannot.serve.as_str()));
            page.labelled("serve", &cannot.words);
            page.labelled("why", &cannot.no_ball.why);
            if let Some(nearest) = &cannot.no_ball.nearest {
                page.labelled("nearest", nearest);
            }
        }
    }
    page.out.push('\n');
    for caution in &document.cautions {
        page.entry(caution);
    }
    page.out
}

/// The width of the labels.
const LABEL: usize = 11;

struct Page {
    out: String,
    width: usize,
}

impl Page {
    /// A label and its text, wrapped under itself.
    fn labelled(&mut self, label: &str, words: &str) {
        let wrapped = text::wrap(&text::one_line(words), self.width - LABEL, "");
        for (line, place) in wrapped.lines().zip(0..) {
            let label = if place == 0 { label } else { "" };
            let _ = writeln!(self.out, "{}{line}", text::fit(&format!("  {label}"), LABEL));
        }
    }

    fn entry(&mut self, words: &str) {
        let wrapped = text::wrap(&format!("  - {words}"), self.width, "    ");
        let _ = writeln!(self.out, "{wrapped}");
    }

    fn serve(&mut self, one: &ServeAim) {
        let id = text::one_line(one.serve.as_str());
        let _ = writeln!(self.out, "\n{id}");
        self.labelled("serve", &one.words);
        self.labelled("throw", &physics(&one.ball.settings));
        let dials = dials(&one.ball.settings);
        if !dials.is_empty() {
            self.labelled("dials", &dials);
        } else if let Some(guess) = &one.ball.settings.guess {
            self.labelled("dials", &format!("about {guess}: a guess, trim from there"));
        }
        self.labelled("ball", &ball(&one.ball, one.thrown.throw));
        self.labelled(
            "keeps",
            &format!(
                "{} of {} simulated throws stay legal and {}",
                one.ball.keeps.kept, one.ball.keeps.thrown, one.ball.outcome.depth
            ),
        );
        for Limit { what, why, nearest } in &one.limits {
            self.labelled("lost", &format!("{what}: {why}; nearest: {nearest}"));
        }
        for note in &one.ball.notes {
            self.labelled("mind", note);
        }
    }
}

/// What is thrown, in physics.
pub(super) fn physics(settings: &Settings) -> String {
    let degrees = |value: f64, plus: &str, minus: &str| {
        let side = if value < 0.0 { minus } else { plus };
        format!("{:.1} degrees {side}", value.abs())
    };
    let mut parts = vec![
        format!("{:.1} m/s", settings.speed_m_s),
        degrees(settings.elevation_deg, "up", "down"),
        degrees(settings.azimuth_deg, "left", "right"),
    ];
    let mut spin = |value: f64, plus: &str, minus: &str| {
        if value.abs() >= 0.5 {
            let kind = if value < 0.0 { minus } else { plus };
            parts.push(format!("{kind} {:.0} rev/s", value.abs()));
        }
    };
    spin(settings.top_rev_s, "topspin", "backspin");
    spin(settings.side_rev_s, "side spin to the left", "side spin to the right");
    if parts.len() == 3 {
        parts.push("dead".to_owned());
    }
    parts.join(", ")
}

/// The dials in entry order.
fn dials(settings: &Settings) -> String {
    let each: Vec<String> = settings
        .dials
        .iter()
        .map(|dial| format!("{} {}", text::one_line(&dial.name), dial.value))
        .collect();
    each.join(", ")
}

/// What the ball does.
fn ball(ball: &AimedBall, throw: Throw) -> String {
    let out = &ball.outcome;
    let first = match (throw, out.first_bounce_m) {
        (Throw::Serve, Some([x_m, _])) => format!("first bounce {x_m:.2} m, "),
        _ => "bounces once, ".to_owned(),
    };
    let side = if out.bounce_m[1] < 0.0 { "right" } else { "left" };
    format!(
        "{first}lands {:.2} m and {:.2} {side}, next {:.2} m ({}), {:.0} mm over the net, {:.2} s to the \
         landing",
        out.bounce_m[0],
        out.bounce_m[1].abs(),
        out.next_bounce_x_m,
        out.depth,
        out.net_clearance_m * 1000.0,
        out.release_to_bounce_s
    )
}
