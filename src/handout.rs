//! What is printed or exported: plans, histories and catalogues as text and JSON.

mod attended;
pub mod catalogue_page;
pub mod catalogue_text;
pub mod cautions_page;
pub mod chart;
pub mod export;
pub mod export_json;
pub mod history_json;
pub mod history_text;
pub mod home_card;
pub mod home_page;
mod home_sheet;
mod insight_json;
pub mod instance;
pub mod letter;
mod letter_page;
pub mod paper;
mod paper_size;
pub mod picture;
pub mod plan_json;
pub mod plan_text;
pub mod plot;
pub mod record_page;
pub mod ribbon;
mod twin;
pub mod words;
pub mod year;
mod year_chart;
mod year_page;

pub use history_json::history_json;
pub use history_text::{HistoryFilter, HistoryText};
pub use instance::{BadInstance, Instance};
pub use plan_json::{PlanJson, no_plan_json};
pub use plan_text::PlanText;
