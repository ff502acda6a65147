//! How many of a thing there are.

/// `1 part`, `2 parts`.
pub fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}
