//! The words of a debrief: scores of games, and `short-fh many badly read`.

use crate::base::text;
use crate::base::words::Word;
use crate::cli::Overview;
use crate::cli::points::record::points_of;
use crate::cli::points::spoken::closest_serve;
use crate::deck::Deck;
use crate::game::{End, Game, ReceiveKey};
use crate::journal::{Debrief, DebriefServe, Event, EventId, Fact, Going, HowMany};

/// A match being told.
pub(super) struct Telling<'d> {
    pub deck: &'d Deck,
    pub home: Overview<'d>,
    pub debrief: Debrief,
}

impl<'d> Telling<'d> {
    /// What was told of this match before; nothing when it was not talked over yet.
    pub fn new(deck: &'d Deck, home: Overview<'d>, of_match: String) -> Self {
        let key = deck.key.clone();
        let nothing = Debrief { deck: key, of_match, ..Debrief::default() };
        let told = earlier(home.events, &nothing).last().map(|(_, told)| told.clone());
        Self { deck, home, debrief: told.unwrap_or(nothing) }
    }

    /// Takes in what was told of a serve, in the place of what was told of it before.
    pub fn tell(&mut self, told: DebriefServe) {
        match self.debrief.serves.iter_mut().find(|before| before.serve == told.serve) {
            Some(before) => *before = told,
            None => self.debrief.serves.push(told),
        }
    }

    /// Takes in what was new, once.
    pub fn tell_new(&mut self, words: String) {
        if !self.debrief.new.contains(&words) {
            self.debrief.new.push(words);
        }
    }

    pub fn is_empty(&self) -> bool {
        let Debrief { games, serves, new, sentence, .. } = &self.debrief;
        games.is_empty() && serves.is_empty() && new.is_empty() && sentence.is_none()
    }

    /// What to say when the games told are not those that the kept points of the match make.
    pub fn unlike_points(&self) -> Option<String> {
        let won = points_of(self.home.events, self.deck, &self.debrief.of_match);
        let by_points = games_by_points(won.map(|(_, point)| point.won));
        let told = &self.debrief.games;
        (!told.starts_with(&by_points)).then(|| {
            let [by_points, told] = [&by_points, told].map(|games| games_shown(games));
            format!("the points kept of this match make {by_points}, not {told}")
        })
    }

    /// The known serve whose name is close to the first of these words.
    pub fn close_serve(&self, words: &str) -> Option<String> {
        closest_serve(self.deck, words.split(' ').next()?)
    }

    /// What was told, in words.
    pub fn shown(&self) -> String {
        let Debrief { of_match, games, serves, new, .. } = &self.debrief;
        let read = serves.iter().filter(|told| told.read);
        let read: Vec<String> = read.map(|told| self.deck.called(&told.serve)).collect();
        let mut facts = vec![format!("match {of_match}")];
        facts.extend((!games.is_empty()).then(|| games_shown(games)));
        facts.push(format!("{} told", text::count(serves.len(), "serve")));
        facts.extend((!read.is_empty()).then(|| format!("read: {}", read.join("; "))));
        facts.extend((!new.is_empty()).then(|| format!("new: {}", new.join("; "))));
        format!("{}. Told from memory, it counts half.", facts.join("; "))
    }
}

/// Words on one line each, empty ones left out.
pub(super) fn on_lines(words: impl IntoIterator<Item = impl AsRef<str>>) -> Vec<String> {
    let words = words.into_iter().map(|words| text::one_line(words.as_ref()));
    words.filter(|words| !words.is_empty()).collect()
}

/// Every debrief of the match of this one.
pub(super) fn earlier<'e>(
    events: &'e [Event],
    debrief: &'e Debrief,
) -> impl Iterator<Item = (&'e EventId, &'e Debrief)> {
    events.iter().filter_map(move |event| match &event.fact {
        Fact::Debrief(told) if told.deck == debrief.deck && told.of_match == debrief.of_match => {
            Some((&event.id, told))
        }
        _ => None,
    })
}

pub(super) fn games_shown(games: &[(u32, u32)]) -> String {
    games.iter().map(|(me, them)| format!("{me}-{them}")).collect::<Vec<_>>().join(" ")
}

/// Reads `11-8 9-11 11-7`.
///
/// # Errors
/// In words: not scores, or no score a game ends with.
pub(super) fn games_of(given: &str) -> Result<Vec<(u32, u32)>, String> {
    given
        .split([',', ' ', ';'])
        .filter(|game| !game.is_empty())
        .map(|game| {
            let pair = game.split_once(['-', ':']);
            let points = pair.and_then(|(me, them)| Some((me.parse().ok()?, them.parse().ok()?)));
            let (me, them) = points.ok_or_else(|| format!("`{game}` is no score of a game"))?;
            let ended = Game::at(me, them, End::Me).map_err(|error| error.to_string())?;
            if ended.winner().is_none() {
                return Err(format!("{game} is no score a game ends with"));
            }
            Ok((me, them))
        })
        .collect()
}

/// The games that are over after points won and lost in this order.
fn games_by_points(won: impl Iterator<Item = bool>) -> Vec<(u32, u32)> {
    let mut game = Game::start(End::Me);
    let mut games = Vec::new();
    for is_won in won {
        game = game.after(if is_won { End::Me } else { End::Them });
        if game.winner().is_some() {
            games.push((game.me, game.them));
            game = Game::start(End::Me);
        }
    }
    games
}

/// The one word of a vocabulary that begins like this.
fn begun<T: Word>(given: &str) -> Option<T> {
    let plain = text::plain_word(given);
    let is_begun = |word: &&T| !plain.is_empty() && word.in_files().starts_with(&plain);
    let mut found = T::EVERY.iter().filter(is_begun);
    found.next().copied().filter(|_| found.next().is_none())
}

/// Reads `many badly`, or the beginnings of these words; one of the two is enough, the other is
/// then `some` or `even`.
pub(super) fn going_of(given: &str) -> Option<(HowMany, Going)> {
    let (mut how_many, mut course) = (None, None);
    for word in given.split([',', ' ']).filter(|word| !word.is_empty()) {
        match begun(word) {
            Some(many) => how_many = Some(many),
            None => course = Some(begun(word)?),
        }
    }
    let is_told = how_many.is_some() || course.is_some();
    is_told.then(|| (how_many.unwrap_or(HowMany::Some), course.unwrap_or(Going::Even)))
}

/// Reads `short-fh many badly read`, then the receive or switch when it was not the plan's; none
/// when no serve is called that.
///
/// # Errors
/// In words: no amount and no course, or words that are neither receive nor switch.
pub(super) fn told_of(deck: &Deck, given: &str) -> Result<Option<DebriefServe>, String> {
    let given = text::one_line(given);
    let words: Vec<&str> = given.split(' ').collect();
    let (serve, many) = match deck.serve_said_first(&words) {
        Some(said) => said,
        None => match deck.serve_meant(words[0]) {
            Some(serve) => (serve, 1),
            None => return Ok(None),
        },
    };
    let (serve, name) = (serve.id.clone(), words[..many].join(" "));
    let (mut how_many, mut course, mut read) = (None, None, false);
    let mut rest: Vec<&str> = Vec::new();
    for word in words[many..].iter().map(|word| word.trim_matches([',', ';'])) {
        match (how_many, course, word.parse().ok(), word.parse().ok()) {
            _ if word == "read" => read = true,
            (None, _, Some(many), _) => how_many = Some(many),
            (_, None, _, Some(going)) => course = Some(going),
            _ => rest.push(word),
        }
    }
    if how_many.is_none() && course.is_none() {
        return Err(format!("how did `{name}` go? few, some or many; and well, even or badly"));
    }
    let words = rest.join(" ");
    let of_switch = deck.switch_called(&words).and_then(|switch| switch.changes.get(&serve));
    let receive = match of_switch.cloned() {
        _ if words.is_empty() => None,
        None => Some(
            deck.receive_said(Some(&serve), &words)
                .map_err(|_| format!("`{words}` is neither a receive nor a switch for `{name}`"))?,
        ),
        of_switch => of_switch,
    };
    Ok(Some(DebriefServe {
        serve,
        receive: receive.as_ref().map(ReceiveKey::from_receive),
        many: how_many.unwrap_or(HowMany::Some),
        going: course.unwrap_or(Going::Even),
        read,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::game::Serve;

    fn deck() -> Deck {
        let mut deck = Deck::new("Invented", "abc234".to_owned());
        deck.serves.push(Serve::unknown("short-fh".parse().unwrap()));
        deck
    }

    #[test]
    fn a_game_is_told_only_when_it_is_over() {
        assert_eq!(games_of("11-8, 9-11 12-10"), Ok(vec![(11, 8), (9, 11), (12, 10)]));
        assert!(games_of("11-10").is_err());
        assert!(games_of("8-6").is_err());
        assert!(games_of("eleven").is_err());
    }

    #[test]
    fn one_of_the_two_words_or_its_beginning_is_enough() {
        assert_eq!(going_of("many badly"), Some((HowMany::Many, Going::Badly)));
        assert_eq!(going_of("b"), Some((HowMany::Some, Going::Badly)));
        assert_eq!(going_of("few"), Some((HowMany::Few, Going::Even)));
        assert_eq!(going_of("awful"), None);
    }

    #[test]
    fn a_serve_is_told_in_one_line_and_an_unknown_one_is_kept_as_new() {
        let told = told_of(&deck(), "short-fh many badly read backhand flick").unwrap().unwrap();
        assert!(told.read);
        assert_eq!(told.receive, Some(ReceiveKey::from_journal("backhand flick")));
        assert_eq!(told_of(&deck(), "hook-wide many badly"), Ok(None));
        assert!(told_of(&deck(), "short-fh many badly swat").is_err());
    }
}
