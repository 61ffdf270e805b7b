//! The settings of a deck for a launcher, as text and as the JSON of `launcher aim`.
//!
//! Lengths are metres in the launcher's frame. One document, made by `launcher`; here it is only
//! shown.

use std::fmt::Write as _;

use serde::Serialize;

use crate::base::{Units, text};
use crate::flight::aim::{BallOutcome, Share};
use crate::flight::{Constants, Launch, Throw};
use crate::game::ServeId;
use crate::launcher::{
    DeckAim, Launcher, ServeAim, SetUp, Settings, TRUST_WITHOUT_CALIBRATION_M, Thrown,
};
use crate::page::launcher_words::{
    Loss, NoBallWords, dials_words, guess_words, low_outlet_words, note_words, set_up_words,
};

/// The version of the JSON form.
pub const FORMAT: u32 = 1;

/// The settings of a deck, every word said.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AimDocument {
    /// The version of this form.
    pub format: u32,
    pub opponent: String,
    pub launcher: String,
    /// How far a landing may be off, metres.
    pub trust_m: f64,
    /// The same in words.
    pub trust: String,
    /// The ball, air and table the settings were computed for.
    pub constants: Constants,
    /// Set-ups, the one with most serves first.
    pub groups: Vec<SetUpShown>,
    pub cannot: Vec<CannotShown>,
    /// Why the outlet has to be low, when this launcher makes it matter.
    pub height: Option<String>,
    pub cautions: Vec<String>,
}

/// Serves thrown from one set-up.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetUpShown {
    pub set_up: SetUp,
    pub words: String,
    pub serves: Vec<ServeShown>,
}

/// One serve with its settings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ServeShown {
    pub serve: ServeId,
    pub words: String,
    pub thrown: Thrown,
    pub limits: Vec<Loss>,
    pub ball: BallShown,
}

/// One ball.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BallShown {
    pub settings: SettingsShown,
    pub launch: Launch,
    pub outcome: BallOutcome,
    pub keeps: Share,
    pub notes: Vec<String>,
}

/// What is entered, a guess at the dials in words.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SettingsShown {
    #[serde(flatten)]
    pub settings: Settings,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub guess: Option<String>,
}

/// A serve this launcher cannot throw at all.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CannotShown {
    pub serve: ServeId,
    pub words: String,
    pub no_ball: NoBallWords,
}

impl AimDocument {
    pub fn tell(
        opponent: &str,
        launcher: &Launcher,
        constants: Constants,
        is_own_table: bool,
        aim: DeckAim,
        cautions: Vec<String>,
    ) -> Self {
        let (trust_m, trust) = trust(launcher, is_own_table);
        let groups = aim.groups.into_iter().map(|group| SetUpShown {
            set_up: group.set_up,
            words: set_up_words(&group.set_up, Units::Metric),
            serves: group.serves.into_iter().map(ServeShown::tell).collect(),
        });
        let cannot = aim.cannot.into_iter().map(|cannot| CannotShown {
            serve: cannot.serve,
            words: cannot.words,
            no_ball: NoBallWords::tell(&cannot.no_ball),
        });
        Self {
            format: FORMAT,
            opponent: opponent.to_owned(),
            launcher: launcher.name.clone(),
            trust_m,
            trust,
            constants,
            groups: groups.collect(),
            cannot: cannot.collect(),
            height: aim.low_outlet.as_ref().map(low_outlet_words),
            cautions,
        }
    }
}

impl ServeShown {
    fn tell(aim: ServeAim) -> Self {
        let ball = aim.ball;
        let guess = ball.settings.guess.as_ref().map(guess_words);
        Self {
            serve: aim.serve,
            words: aim.words,
            thrown: aim.thrown,
            limits: aim.limits.iter().map(Loss::tell).collect(),
            ball: BallShown {
                settings: SettingsShown { settings: ball.settings, guess },
                launch: ball.launch,
                outcome: ball.outcome,
                keeps: ball.keeps,
                notes: ball.notes.iter().map(note_words).collect(),
            },
        }
    }
}

/// How far to trust the settings.
fn trust(launcher: &Launcher, is_own_table: bool) -> (f64, String) {
    let off_m = match &launcher.calibrated {
        Some(own) if is_own_table => own.landing_off_m,
        _ => TRUST_WITHOUT_CALIBRATION_M,
    };
    let cm = format!("about {:.0} cm", off_m * 100.0);
    let words = match (&launcher.calibrated, is_own_table) {
        (Some(own), true) => format!(
            "landings are off by {cm}: so it was with {} at calibration. Another table, ball or hall counts \
             as not calibrated.",
            text::count(own.balls as usize, "ball"),
        ),
        (Some(_), false) => {
            format!("{cm}: the dials are calibrated, this table is not. Trim first.")
        }
        (None, true) => format!(
            "{cm}: the table is calibrated, the dials are not. Set them by the first bounce, then trim."
        ),
        (None, false) => format!(
            "{cm} in the landing, nothing is calibrated. This is where to start; then `secondball launcher \
             trim --help`, and once `secondball launcher calibrate --help`."
        ),
    };
    (off_m, words)
}

/// The text, at most `width` columns wide.
pub fn shown(document: &AimDocument, width: usize) -> String {
    let (opponent, launcher) = (&document.opponent, &document.launcher);
    let title =
        format!("Settings against {} for {}", text::one_line(opponent), text::one_line(launcher));
    let mut sheet = LabelledLines { out: text::wrap(&title, width, ""), width };
    sheet.out.push('\n');
    sheet.labelled("trust", &document.trust);
    if let Some(height) = &document.height {
        sheet.labelled("height", height);
    }
    for (group, number) in document.groups.iter().zip(1..) {
        sheet.out.push('\n');
        let head = if number == 1 { "set-up 1".to_owned() } else { format!("move to {number} ") };
        sheet.labelled(&head, &group.words);
        for one in &group.serves {
            sheet.serve(one);
        }
    }
    if !document.cannot.is_empty() {
        sheet.out.push_str("\nNot with this launcher\n");
    }
    for cannot in &document.cannot {
        let _ = writeln!(sheet.out, "\n{}", text::one_line(cannot.serve.as_str()));
        sheet.labelled("serve", &cannot.words);
        sheet.labelled("why", &cannot.no_ball.why);
        if let Some(nearest) = &cannot.no_ball.nearest {
            sheet.labelled("nearest", nearest);
        }
    }
    sheet.out.push('\n');
    for caution in &document.cautions {
        let wrapped = text::wrap(&format!("  - {caution}"), width, "    ");
        let _ = writeln!(sheet.out, "{wrapped}");
    }
    sheet.out
}

/// The width of the labels.
const LABEL: usize = 11;

struct LabelledLines {
    out: String,
    width: usize,
}

impl LabelledLines {
    /// A label and its text, wrapped under itself.
    fn labelled(&mut self, label: &str, words: &str) {
        let wrapped = text::wrap(&text::one_line(words), self.width - LABEL, "");
        for (line, place) in wrapped.lines().zip(0..) {
            let label = if place == 0 { label } else { "" };
            let _ = writeln!(self.out, "{}{line}", text::fit(&format!("  {label}"), LABEL));
        }
    }

    fn serve(&mut self, one: &ServeShown) {
        let _ = writeln!(self.out, "\n{}", text::one_line(one.serve.as_str()));
        let BallShown { settings: entered, outcome, keeps, notes, .. } = &one.ball;
        self.labelled("serve", &one.words);
        self.labelled("throw", &physics(&entered.settings));
        if !entered.settings.dials.is_empty() {
            self.labelled("dials", &dials_words(&entered.settings.dials));
        } else if let Some(guess) = &entered.guess {
            self.labelled("dials", &format!("about {guess}: a guess, trim from there"));
        }
        self.labelled("ball", &ball(outcome, one.thrown.throw));
        let (kept, thrown, depth) = (keeps.kept, keeps.thrown, outcome.depth);
        let keeps = format!("{kept} of {thrown} simulated throws stay legal and {depth}");
        self.labelled("keeps", &keeps);
        for Loss { what, why, nearest } in &one.limits {
            self.labelled("lost", &format!("{what}: {why}; nearest: {nearest}"));
        }
        for note in notes {
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

/// What the ball does.
fn ball(out: &BallOutcome, throw: Throw) -> String {
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
