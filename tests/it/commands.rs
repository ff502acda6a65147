//! Command tests from text files: what people see, in README.md and in `tests/commands/`.

#[test]
fn every_example_prints_what_the_text_says() {
    let cases = trycmd::TestCases::new();
    // The demo stays as it is: no index is put beside it.
    cases.env("NO_COLOR", "1").env("KITWRIGHT_INDEX", "never");
    cases.case("README.md").case("src/guide/*.md").case("tests/commands/*.trycmd");
}
