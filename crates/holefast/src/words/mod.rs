//! The catalogue of what people read: results in words.

pub mod layout;
pub mod outline;
