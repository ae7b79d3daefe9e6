//! The module that a phone carries: a request in on standard input, its answer out on standard output.
//!
//! Three lines of JSON come in: what is asked, what the phone carries of the record, and its pages. One line goes out that
//! says what the answer is; its body follows.

#[cfg(feature = "shop")]
compile_error!("the phone's module is built with `--no-default-features --features pocket`");

#[cfg(not(feature = "shop"))]
fn main() -> anyhow::Result<()> {
    use std::io::{Read, Write, stdin, stdout};

    use anyhow::Context as _;
    use gudgeon::fronts::web::pocket;

    let mut all = String::new();
    stdin().lock().read_to_string(&mut all)?;
    let mut lines = all.lines();
    let mut line = || lines.next().context("three lines are wanted");
    let asked = serde_json::from_str(line()?)?;
    let carried = serde_json::from_str(line()?)?;
    let (told, body) = pocket::answer(asked, carried, serde_json::from_str(line()?)?)?;
    let mut out = stdout().lock();
    serde_json::to_writer(&mut out, &told)?;
    out.write_all(b"\n")?;
    out.write_all(&body)?;
    out.flush()?;
    Ok(())
}
