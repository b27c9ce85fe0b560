//! `hoopset live`: a page with sliders about a case, served to this machine alone.

use std::path::PathBuf;
use std::process::ExitCode;

use crate::case::{self, DEMO};
use crate::cli::args::Live;
use crate::cli::exit::CliError;
use crate::cli::output::{say, tell};
use crate::cli::progress::{interrupt_flag, use_threads};
use crate::cli::warn;
use crate::live::deck::Deck;
use crate::live::lesson;
use crate::live::server::Server;

/// Bytes of the token in the address.
const TOKEN: usize = 16;

pub(crate) fn live(arguments: &Live) -> Result<ExitCode, CliError> {
    if arguments.lesson.as_deref() == Some("") {
        for name in lesson::names() {
            say!("{name}");
        }
        return Ok(ExitCode::SUCCESS);
    }
    let lesson = arguments.lesson.as_deref().map(lesson::lesson).transpose()?;
    let deck = match (&arguments.case, &lesson) {
        (Some(path), _) => {
            let case = case::read(path)?;
            Deck::new(&case.text, &path.display().to_string())?
        }
        (None, Some(lesson)) => Deck::new(lesson.case, &format!("{}.toml", lesson.name))?,
        (None, None) => Deck::new(DEMO, "demo.toml")?,
    };
    deck.case.warnings.iter().for_each(|warning| warn(warning));
    use_threads(arguments.threads)?;
    let token = token()?;
    let refused = |source| CliError::Io {
        doing: "serve the page at",
        path: PathBuf::from(format!("127.0.0.1:{}", arguments.port)),
        source,
    };
    let server = Server::new(deck, lesson, arguments.port, token).map_err(refused)?;
    let stop = interrupt_flag();
    say!("{}", server.address());
    tell!("open this address in a browser of this machine; interrupt to end");
    server.serve(&stop).map_err(refused)?;
    Ok(ExitCode::SUCCESS)
}

/// A word that nobody else can guess.
fn token() -> Result<String, CliError> {
    let mut bytes = [0; TOKEN];
    getrandom::fill(&mut bytes).map_err(|error| CliError::Io {
        doing: "draw a random token for",
        path: PathBuf::from("the address"),
        source: std::io::Error::other(error.to_string()),
    })?;
    Ok(format!("{:032x}", u128::from_be_bytes(bytes)))
}
