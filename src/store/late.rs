//! Events later than tomorrow, which nobody counts: a clock was wrong when they were written. They
//! get another day, or are dropped, by lines that are appended.

use crate::base::{Day, Moment};
use crate::journal::{Event, Fact};
use crate::store::{Home, Trouble};

/// Milliseconds of a day.
const DAY_MS: i64 = 86_400_000;

/// An event that is set aside, with the hash of its line.
#[derive(Debug, Clone, PartialEq)]
pub struct LateEvent {
    /// What it says.
    pub event: Event,
    sum: u32,
}

impl Home {
    /// The events that are set aside, in order.
    ///
    /// # Errors
    /// A journal of a newer format; the machine's own trouble.
    pub fn late_events(&self) -> Result<Vec<LateEvent>, Trouble> {
        let merge = self.merged()?;
        let mut files = merge.open()?;
        let mut late = Vec::new();
        for mark in merge.set_aside.iter().filter(|mark| !merge.is_undone(mark)) {
            let mut line = Vec::new();
            merge.read_text(&mut files, *mark, &mut line)?;
            // One that cannot be read is told by `check`.
            let event = merge.event(*mark, line.trim_ascii_end());
            late.extend(event.ok().map(|event| LateEvent { event, sum: mark.sum }));
        }
        Ok(late)
    }

    /// Takes late events back; before that, with a number of `days`, writes each down so many days
    /// earlier. Cut off and begun again, none is there twice.
    ///
    /// # Errors
    /// Another process is writing; a day no event may have; the machine's own trouble.
    pub fn settle_late(
        &self,
        late: &[LateEvent],
        days: Option<u32>,
        now: Moment,
        day: Day,
    ) -> Result<(), Trouble> {
        let mut writer = self.writer(now, day)?;
        let written = self.origins()?;
        for LateEvent { event, sum } in late {
            let Event { id, at_ms, day: late, fact, .. } = event;
            let origin = format!("{}/{}/{sum:08x}", id.device, id.n);
            if let Some(days) = days.filter(|_| !written.contains_key(&origin)) {
                let at_ms = at_ms - i64::from(days) * DAY_MS;
                writer.append_from(Some(&origin), at_ms, late.minus(days), fact.clone())?;
            }
            let fact = Fact::Undo { of: id.clone(), content: Some(*sum) };
            writer.append_unsynced(now, day, fact)?;
        }
        writer.sync()
    }
}
