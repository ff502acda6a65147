/// A reading that is in doubt: what a person should look at before a row is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// The column whose cell is in doubt.
    pub column: &'static str,
    /// What is doubtful, as a sentence without a full stop.
    pub text: String,
    /// What the cell may be, the likeliest first; empty where nothing suggests itself.
    pub choices: Vec<String>,
}
