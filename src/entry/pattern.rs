use regex_lite::Regex;
use std::sync::LazyLock;

/// A pattern that is written in the source, made when it is first needed.
pub(super) type Pattern = LazyLock<Regex>;

/// Makes a pattern of the source. A test uses every one of them, so none can fail later.
pub(super) fn pattern(text: &str) -> Regex {
    #[allow(
        clippy::expect_used,
        reason = "the patterns are constants, and a test makes each of them"
    )]
    Regex::new(text).expect("a pattern of the source is well formed")
}
