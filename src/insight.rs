//! What a client's sessions tell: series over time, left against right, weekly seconds, what changed, advice for
//! next time, who is due. Everything follows from the file and the day alone.
//!
//! A session is a note of what was said and felt, not a measurement; so differences are mentioned only where they
//! are larger than measuring twice would give, and nothing here promises or diagnoses anything.

pub mod advice;
pub mod chart;
pub mod due;
pub mod error;
pub mod hurt;
pub mod series;
pub mod shortness;
pub mod sides;
pub mod tightness;
pub mod weekly;

pub use advice::{Advice, Change, advice, changes};
pub use chart::{Chart, Line, Measure, chart};
pub use due::{Due, due};
pub use error::{MeasurementError, mdc95};
pub use hurt::hurt;
pub use series::{Point, Series, series};
pub use shortness::{Shortness, shortness};
pub use sides::{SideDifference, sides};
pub use tightness::{Tightness, tightness};
pub use weekly::{Guidance, Standing, Week, last_day, weekly};
