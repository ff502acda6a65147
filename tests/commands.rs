//! Command tests from text files: what people see, in README.md and in `tests/commands/`.

#[test]
fn every_example_prints_what_the_text_says() {
    let cases = trycmd::TestCases::new();
    cases.env("NO_COLOR", "1");
    cases.case("README.md").case("tests/commands/*.trycmd");
}
