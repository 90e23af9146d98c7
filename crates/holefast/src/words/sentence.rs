//! Grammar of short texts: a line as a sentence, lists in words.

/// A message or a line of the terminal as a sentence: with a capital and a full stop.
pub fn sentence(line: &str) -> String {
    format!("{}.", sentence_start(line).trim_end_matches('.'))
}

/// The same with a capital alone. A key of the job (`top.length`) is written as the job has it.
pub fn sentence_start(line: &str) -> String {
    let first = line.split([' ', ':', ',']).next().unwrap_or_default();
    if first.trim_end_matches('.').contains(['.', '_', '[']) {
        return line.to_owned();
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_has_a_capital_and_a_stop_and_a_key_stays_a_key() {
        assert_eq!(sentence("98 holes"), "98 holes.");
        assert_eq!(sentence("margins are even."), "Margins are even.");
        assert_eq!(sentence("top.length: \"long\" is no length"), "top.length: \"long\" is no length.");
        assert_eq!(sentence_start("keep_out[1] lies beside it"), "keep_out[1] lies beside it");
        assert_eq!(sentence("wait."), "Wait.");
    }
}
