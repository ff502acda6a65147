//! The pages for the user, shipped inside the program. Their examples are run as tests.

/// A page of the guide.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Page {
    /// The word by which it is asked for.
    pub topic: &'static str,
    /// Its text, as Markdown.
    pub text: &'static str,
}

impl Page {
    /// Gives the page's heading.
    pub fn title(&self) -> &'static str {
        self.text.lines().next().unwrap_or_default().trim_start_matches('#').trim_start()
    }
}

/// Every page, in the order in which a newcomer reads them.
pub const PAGES: [Page; 5] = [
    Page { topic: "tables", text: include_str!("tables.md") },
    Page { topic: "rules", text: include_str!("rules.md") },
    Page { topic: "workshop", text: include_str!("workshop.md") },
    Page { topic: "care", text: include_str!("care.md") },
    Page { topic: "words", text: include_str!("words.md") },
];
