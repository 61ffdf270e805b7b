//! Several players on one page: a line each, who needs the coach first before the others.

use minijinja::context;
use minijinja::value::Serde as Filled;
use serde::Serialize;

use crate::base::Day;
use crate::page::text_page::filled_text;

/// The players of a group, who needs the coach first before the others: whose files have trouble,
/// then whose serves wait for a receive, then who plays next; of one day the least ready.
#[derive(Debug, Clone, Serialize)]
pub struct GroupPage {
    pub players: Vec<GroupPlayer>,
}

/// One player.
#[derive(Debug, Clone, Serialize)]
pub struct GroupPlayer {
    /// The folder of the home, whole and its last part.
    pub home: String,
    pub folder: String,
    /// The player's name; the folder's where the home cannot be read.
    pub name: String,
    /// Whether the home could be read.
    pub is_read: bool,
    pub event: Option<GroupEvent>,
    /// Minutes that today's list still takes.
    pub minutes: f64,
    /// Nothing was played at the table for a week.
    pub is_table_due: bool,
    /// An opponent, a serve or a receive is missing.
    pub is_plan_open: bool,
    /// Files that cannot be read, and lines set aside.
    pub troubles: usize,
}

/// The next event of a player.
#[derive(Debug, Clone, Serialize)]
pub struct GroupEvent {
    pub name: String,
    pub day: Day,
    pub days: u32,
    pub opponents: Vec<String>,
    /// Share expected to be answered right there as it stands, and with every list; none on the day
    /// itself.
    pub ready: Option<[f64; 2]>,
}

impl GroupPlayer {
    /// A player of whom only the home is known.
    pub fn in_home(home: String, folder: String) -> Self {
        Self {
            name: folder.clone(),
            home,
            folder,
            is_read: true,
            event: None,
            minutes: 0.0,
            is_table_due: false,
            is_plan_open: false,
            troubles: 0,
        }
    }

    fn has_trouble(&self) -> bool {
        !self.is_read || self.troubles > 0
    }

    /// The day of the next event, and how ready the player is.
    fn next(&self) -> (u32, f64) {
        let event = self.event.as_ref();
        let now = event.and_then(|event| event.ready).map_or(1.0, |[now, _]| now);
        (event.map_or(u32::MAX, |event| event.days), now)
    }
}

impl GroupPage {
    /// Puts them in order.
    pub fn from_players(mut players: Vec<GroupPlayer>) -> Self {
        players.sort_by(|one, other| {
            let (days, now) = one.next();
            let (other_days, other_now) = other.next();
            (other.has_trouble().cmp(&one.has_trouble()))
                .then(other.is_plan_open.cmp(&one.is_plan_open))
                .then(days.cmp(&other_days))
                .then(now.total_cmp(&other_now))
                .then_with(|| other.minutes.total_cmp(&one.minutes))
        });
        Self { players }
    }
}

/// The page, `width` columns wide.
pub fn group_text(group: &GroupPage, width: usize) -> String {
    let document = context! { players => Filled(&group.players) };
    filled_text(include_str!("templates/group.txt"), &document, width)
}
