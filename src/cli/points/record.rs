//! The record of one match as it grows: every point is on the disk before the next one, score and
//! server follow the laws, the last point can be taken back.

use crate::base::Day;
use crate::cli::points::spoken::{self, SaidPoint, Spoken};
use crate::cli::world::Clock;
use crate::cli::{Overview, Result};
use crate::deck::Deck;
use crate::game::{End, Match, MatchLength};
use crate::journal::{Event, EventId, Fact, Point};
use crate::store::Home;

/// A match being recorded.
pub(super) struct MatchRecord<'d> {
    pub deck: &'d Deck,
    /// The word of the match.
    pub of_match: String,
    pub length: MatchLength,
    /// Who served first, as far as known.
    pub first: Option<End>,
    /// Every point of the match.
    pub points: Vec<(EventId, Point)>,
    /// Points that were there before.
    before: usize,
    /// The switch that has been called.
    switch: Option<String>,
    home: &'d Home,
    clock: Clock,
    today: Day,
}

/// The points of a match in a journal.
pub(in crate::cli) fn points_of<'e>(
    events: &'e [Event],
    deck: &'e Deck,
    of_match: &'e str,
) -> impl Iterator<Item = (&'e EventId, &'e Point)> {
    events.iter().filter_map(move |event| match &event.fact {
        Fact::Point(point) if point.deck == deck.key && point.of_match == of_match => {
            Some((&event.id, point))
        }
        _ => None,
    })
}

/// `games 1-0, 8-6, they serve`; `won 3-1`.
pub(super) fn shown(score: Match) -> String {
    let games = format!("{}-{}", score.games_me, score.games_them);
    match score.winner() {
        Some(End::Me) => format!("won {games}"),
        Some(End::Them) => format!("lost {games}"),
        None => {
            let serves = if score.game.server() == End::Me { "you serve" } else { "they serve" };
            format!("games {games}, {}-{}, {serves}", score.game.me, score.game.them)
        }
    }
}

/// The score after points won and lost in this order.
pub(super) fn score_after(
    length: MatchLength,
    first: End,
    won: impl Iterator<Item = bool>,
) -> Match {
    let winner = |is_won| if is_won { End::Me } else { End::Them };
    won.fold(Match::start(length, first), |score, is_won| score.after(winner(is_won)))
}

impl<'d> MatchRecord<'d> {
    /// Begins, or goes on with what the journal has; every point is written at once.
    pub fn begin(
        deck: &'d Deck,
        of_match: String,
        length: MatchLength,
        first: Option<End>,
        home: &Overview<'d>,
        clock: Clock,
    ) -> Self {
        let points = points_of(home.events, deck, &of_match);
        let points: Vec<_> = points.map(|(id, point)| (id.clone(), point.clone())).collect();
        Self {
            deck,
            length,
            // Who served the first point of a recorded match is known.
            first: points.first().map(|(_, point)| point.server).or(first),
            before: points.len(),
            points,
            of_match,
            switch: None,
            home: home.home,
            clock,
            today: home.today,
        }
    }

    /// Writes a fact; it is on the disk then. The journal is opened for each, so that another
    /// command can write between two points, and a file that was replaced is not written to.
    fn append(&mut self, fact: Fact) -> Result<EventId> {
        let now = self.clock.now();
        Ok(self.home.writer(now, self.today)?.append(now, self.today, fact)?)
    }

    /// The score; none before anybody knows who serves first.
    pub fn score(&self) -> Option<Match> {
        Some(score_after(self.length, self.first?, self.points.iter().map(|(_, point)| point.won)))
    }

    /// True when the match is over.
    pub fn is_over(&self) -> bool {
        self.score().is_some_and(|score| score.winner().is_some())
    }

    /// Who serves next, as far as known.
    pub fn server(&self) -> Option<End> {
        self.score().map(|score| score.game.server())
    }

    /// Points kept in this sitting.
    pub fn new_points(&self) -> &[(EventId, Point)] {
        &self.points[self.before..]
    }

    /// `games 1-0, 8-6, they serve`.
    pub fn score_shown(&self) -> String {
        self.score().map_or_else(|| "0-0".to_owned(), shown)
    }

    /// Moments with time to think that have just come.
    fn moment(&self) -> Option<&'static str> {
        let score = self.score()?;
        if score.winner().is_some() || self.points.is_empty() {
            None
        } else if score.game.me + score.game.them == 0 {
            Some("between games")
        } else if score.changes_ends_now() {
            Some("change of ends: towel")
        } else {
            score.game.is_towel_time().then_some("towel")
        }
    }

    /// Does what a line or a few keys said; the words to show for it.
    ///
    /// # Errors
    /// The machine's own trouble.
    pub fn take(&mut self, spoken: Spoken) -> Result<String> {
        match spoken {
            Spoken::Point(said) => self.point(*said),
            Spoken::Undo => self.undo(),
            Spoken::Switch(name) => {
                self.switch = name;
                let switch = self.switch.as_ref().map(|name| format!("switch `{name}`"));
                let meant = switch.unwrap_or_else(|| "plan".to_owned());
                Ok(format!("from here on the {meant} is meant"))
            }
            Spoken::End | Spoken::Nothing => Ok(String::new()),
        }
    }

    fn point(&mut self, said: SaidPoint) -> Result<String> {
        if self.is_over() {
            return Ok(format!(
                "not kept: the match is over ({}); `undo` takes the last point back",
                self.score_shown()
            ));
        }
        let expected = self.server();
        let server = said.server.or(expected).unwrap_or(End::Them);
        if self.points.is_empty() {
            self.first = Some(server);
        }
        let mut notes = Vec::new();
        if expected.is_some_and(|expected| expected != server) {
            let by_score = if server == End::Me { "they serve" } else { "you serve" };
            notes.push(format!("by the score {by_score}: kept as said, `undo` takes it back"));
        }
        if let Some(words) = said.unknown.as_ref().filter(|words| !Point::is_not_named(words)) {
            let meant = spoken::closest_serve(self.deck, words)
                .map(|close| format!("; did you mean `{close}`? `undo` takes it back"))
                .unwrap_or_default();
            notes.push(format!("`{words}` is not known here: kept as typed{meant}"));
        }
        let name = match (&said.serve, server) {
            (_, End::Me) => "own serve".to_owned(),
            (Some(serve), End::Them) => self.deck.called(serve),
            (None, End::Them) => "unknown serve".to_owned(),
        };
        let result = if said.won { "won" } else { "lost" };
        let point = spoken::point(self.deck, &self.of_match, self.switch.as_deref(), server, said);
        let id = self.append(Fact::Point(point.clone()))?;
        self.points.push((id, point));
        notes.extend(self.moment().map(str::to_owned));
        notes.insert(0, format!("{name} {result} -> {}", self.score_shown()));
        Ok(notes.join("; "))
    }

    fn undo(&mut self) -> Result<String> {
        let Some((of, point)) = self.points.pop() else {
            return Ok("nothing to take back".to_owned());
        };
        self.append(Fact::undo(of))?;
        self.before = self.before.min(self.points.len());
        let result = if point.won { "won" } else { "lost" };
        Ok(format!("taken back: a point {result} -> {}", self.score_shown()))
    }
}
