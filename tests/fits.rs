//! What fits, from the command line down: commands with their input and expected output, and what must hold for any
//! sizes.

#[test]
fn commands_answer_as_written() {
    trycmd::TestCases::new().case("tests/fits/*.trycmd");
}
