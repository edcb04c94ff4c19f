//! What the trainer's minutes mean: how full a day is, and when bending low is worth a word.
//!
//! Not a score times minutes: scores are ranks, and the method measures no duration. Each meter has its own allowance
//! of a day; all of them are words to mind one's back by, and predict nothing.

use crate::body::Seconds;
use crate::client::Meters;

/// Minutes of a day after which a step that feeds a meter costs more: on the knees ours, after 'more than an hour a
/// day' in Coggon et al. 2000 (from memory); bent ours; heavy ours.
pub const KNEELING_MINUTES: u32 = 60;
/// The same for a bent or turned trunk.
pub const BENT_MINUTES: u32 = 60;
/// The same for heavy holds.
pub const HEAVY_MINUTES: u32 = 10;
/// Of the working day, in hundredths, bent more than 60 degrees: relative risk of low-back pain 1.5, 95 % interval 1.0
/// to 2.1, above it (Hoogendoorn et al., Spine 2000;25:3087-3092).
const STOOPED_PERCENT: u64 = 5;
/// What a full meter may at most count.
const MOST_FULL: u32 = 2;

/// How often the day has filled the fullest of the meters that a step feeds, at most twice.
pub(super) fn full(day: Meters, fed: Meters) -> u32 {
    let meters = [
        (day.kneeling, fed.kneeling, KNEELING_MINUTES),
        (day.bent, fed.bent, BENT_MINUTES),
        (day.heavy, fed.heavy, HEAVY_MINUTES),
    ];
    let fed = meters.into_iter().filter(|(_, fed, _)| *fed > Seconds::ZERO);
    fed.map(|(today, _, allowed)| today.get() / (60 * allowed)).max().unwrap_or(0).min(MOST_FULL)
}

/// Whether more than a twentieth of a working day was bent low.
pub(super) fn is_stooped_long(day: &Meters, working: Seconds) -> bool {
    u64::from(day.stooped.get()) * 100 > u64::from(working.get()) * STOOPED_PERCENT
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_meter_is_full_after_its_minutes_and_twice_full_at_most() {
        let fed = Meters { kneeling: Seconds::new(30), ..Meters::default() };
        let after = |seconds: u32| {
            let day =
                Meters { kneeling: Seconds::new(seconds), heavy: Seconds::new(9999), ..Meters::default() };
            full(day, fed)
        };
        // What the step does not feed does not count.
        assert_eq!([3599, 3600, 7199, 7200, 10_800].map(after), [0, 1, 1, 2, 2]);
        assert_eq!(full(Meters { kneeling: Seconds::new(7200), ..Meters::default() }, Meters::default()), 0);
    }

    #[test]
    fn a_twentieth_of_nine_hours_is_twenty_seven_minutes() {
        // Hoogendoorn et al. 2000: 5 % of working time.
        let stooped = |seconds: u32| {
            let day = Meters { stooped: Seconds::new(seconds), ..Meters::default() };
            is_stooped_long(&day, Seconds::new(9 * 3600))
        };
        assert_eq!([27 * 60, 27 * 60 + 1].map(stooped), [false, true]);
    }
}
