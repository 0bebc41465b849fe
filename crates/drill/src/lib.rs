//! Exercises, records, replay, scoring, predictions, the twin: the model becomes a lesson. No physics, no pixels, no clock.
//!
//! An [`Exercise`] is a document. Checked against its plant it becomes a [`Lesson`], which is taken as a [`Run`]. A run
//! leaves [`Entry`] after entry, which together are its [`Record`]; replaying these gives the same run bit for bit, and so
//! the same [`Score`].
//! A [`Free`] run has no exercise: it can be set back to any instant, played again or led another way.

pub mod debrief;
pub mod entry;
pub mod exercise;
pub mod free;
pub mod grade;
pub mod guess;
pub mod kind;
pub mod lesson;
pub mod library;
pub mod part;
pub mod record;
pub mod replay;
pub mod run;
pub mod score;
pub mod script;
pub mod series;
pub mod short;
pub mod standing;
pub mod track;
pub mod twin;
pub mod watch;

pub use entry::Entry;
pub use exercise::Exercise;
pub use free::Free;
pub use lesson::Lesson;
pub use library::Library;
pub use record::Record;
pub use run::Run;
pub use score::Score;
