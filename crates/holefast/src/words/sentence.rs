//! Grammar of short texts: a line as a sentence, lists in words.

/// A message or a line of the terminal as a sentence: with a capital and a full stop.
pub fn sentence(line: &str) -> String {
    format!("{}.", sentence_start(line).trim_end_matches('.'))
}

/// The same with a capital alone.
pub fn sentence_start(line: &str) -> String {
    let mut chars = line.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// A title within a sentence: without its capital.
pub(super) fn lower_first(title: &str) -> String {
    let mut chars = title.chars();
    chars.next().map_or_else(String::new, |c| c.to_lowercase().chain(chars).collect())
}

/// "A1, B2 and C3".
pub(super) fn and(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}
