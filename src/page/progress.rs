//! Progress as text and as one page of HTML: each picture with one line of what to do about it.
//!
//! As JSON the document itself is printed, in the form described in [`crate::agenda::progress`]. On
//! the page nothing is loaded and nothing runs: its policy allows its own style and no script.
//! Names are data and are escaped by the template; drawings hold none.

use minijinja::context;
use minijinja::value::{Serde as Filled, Value};

use crate::agenda::PatternPart;
use crate::agenda::progress::{DRAWN, PatternRecall, Progress, ServeBalls, TableOf};
use crate::base::text;
use crate::game::{Depth, Lane};
use crate::memory::Standing;
use crate::page::bar::BAR;
use crate::page::numbers::{mark, of_hundred};
use crate::page::progress_charts::drawings;
use crate::page::progress_words::{
    WRONG_LATELY, advice_line, checked, cost_now, if_stopped, pattern_words, standing, towards,
    why_not,
};
use crate::page::ready::ready_for;
use crate::page::template::filled;
use crate::page::text_page::filled_text;

/// Patterns named in the short view.
const MOST_SHORT: usize = 6;

/// The progress as text, `width` columns at most; with every picture where all is asked for.
pub fn text(progress: &Progress, is_all: bool, width: usize) -> String {
    let patterns = &progress.recall.patterns;
    // Those with most at stake: what is not ready first, the weakest at the top.
    let mut drawn = patterns[..patterns.len().min(DRAWN)].to_vec();
    drawn.sort_by(|a, b| {
        let is_ready = |it: &PatternRecall| it.standing == Standing::Ready;
        is_ready(a).cmp(&is_ready(b)).then(a.then.total_cmp(&b.then))
    });
    let maps = progress.table.opponents.iter().map(|table| Filled(map(&table.serves)));
    let of_plan = patterns.iter().filter(|it| it.part == PatternPart::Plan);
    let stands = of_plan.map(|it| (it.deck.as_str(), &it.part, it.standing));
    let stop = if_stopped(&progress.recall).map(|stop| format!("; {stop}")).unwrap_or_default();
    let on = match &progress.recall.event {
        Some(_) => format!(" on {}{stop}", progress.recall.until.spoken()),
        None => format!(" tomorrow{stop}"),
    };
    let says = ready_for(stands).map(|ready| format!("{ready}{on}."));
    let table = |table: &TableOf| {
        let made = |it: &ServeBalls| format!("{} {} of {}", it.called, it.made, it.balls());
        table.serves.iter().map(made).collect::<Vec<_>>().join(", ")
    };
    let columns = drawn.iter().map(|pattern| text::width(&pattern_words(progress, pattern)));
    let document = context! {
        is_all,
        says => says.unwrap_or_else(|| advice_line(&progress.recall.counsel).says),
        most => MOST_SHORT - usize::from(progress.has_simulated) - usize::from(patterns.len() > MOST_SHORT),
        costs => progress.switches.costs.iter().take(2).filter_map(cost_now).collect::<Vec<_>>(),
        tables => progress.table.opponents.iter().take(2).map(table).collect::<Vec<_>>(),
        progress => Filled(progress),
        columns => columns.max().unwrap_or_default().min(34),
        names => width.saturating_sub(BAR + 24).clamp(16, 40),
        more => patterns.len() - drawn.len(),
        maps => maps.map(Value::from).collect::<Vec<_>>(),
        ..recall(progress, &drawn)
    };
    filled_text(include_str!("templates/progress.txt"), &document, width)
}

/// The progress as a page.
///
/// # Errors
/// Never for a document held in memory; the template's own error otherwise.
pub fn html(progress: &Progress) -> Result<String, minijinja::Error> {
    let key = |(place, pattern): (usize, &PatternRecall)| {
        let (words, then) = (pattern_words(progress, pattern), of_hundred(pattern.then));
        (mark(place), format!("{words}: {}, {then} then", pattern.receive))
    };
    let serve_key = |(place, serve): (usize, &ServeBalls)| {
        let unknown = if serve.comes_down().is_none() {
            " (not drawn: where it comes down is not known)"
        } else {
            ""
        };
        (mark(place), format!("{}: {}{unknown}", serve.called, serve.words))
    };
    let tables = progress.table.opponents.iter();
    let tables: Vec<Vec<_>> =
        tables.map(|table| table.serves.iter().enumerate().map(serve_key).collect()).collect();
    let drawn: Vec<_> = progress.recall.drawn().enumerate().map(key).collect();
    let document = context! {
        style => include_str!("progress.css"),
        progress => Filled(progress),
        keys => context! { recall => Filled(drawn), tables => Filled(tables) },
        drawings => Filled(drawings(progress)),
        ..recall(progress, &progress.recall.patterns)
    };
    filled("progress.html", include_str!("templates/progress.html"), &document)
}

/// What both say of these patterns' recall.
fn recall(progress: &Progress, patterns: &[PatternRecall]) -> Value {
    let row = |pattern: &PatternRecall| {
        context! {
            words => pattern_words(progress, pattern),
            stands => standing(pattern),
            why => why_not(pattern),
            receive => &pattern.receive,
            now => pattern.now,
            then => pattern.then,
        }
    };
    let is_wrong = patterns.iter().any(|pattern| pattern.wrong_lately.is_some());
    context! {
        towards => towards(&progress.recall),
        patterns => patterns.iter().map(row).collect::<Vec<_>>(),
        wrong_lately => is_wrong.then_some(WRONG_LATELY),
        checked => checked(progress.recall.checked),
    }
}

/// The player's half from above, row by row, forehand on the right: a letter where a serve comes
/// down. None when of no serve it is known.
fn map(serves: &[ServeBalls]) -> Option<[(&'static str, String); 3]> {
    const LANES: [Lane; 6] = [
        Lane::WideBackhand,
        Lane::Backhand,
        Lane::Middle,
        Lane::Elbow,
        Lane::Forehand,
        Lane::WideForehand,
    ];
    let here = |depth: Depth, lane: Lane| -> String {
        let places = serves.iter().enumerate();
        let here = places.filter(|(_, serve)| serve.comes_down() == Some((depth, lane)));
        text::fit(&here.map(|(place, _)| mark(place)).collect::<String>(), 6)
    };
    serves.iter().any(|serve| serve.comes_down().is_some()).then(|| {
        [Depth::Short, Depth::HalfLong, Depth::Long]
            .map(|depth| (depth.shown(), LANES.map(|lane| here(depth, lane)).concat()))
    })
}
