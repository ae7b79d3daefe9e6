//! The program: reads flags and settings, opens the shop, opens the doors.

mod chat;
mod serving;

use std::io::{BufReader, Write, stdin, stdout};
use std::net::SocketAddr;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::bail;
use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};

use gudgeon::config::{Config, Person};
use gudgeon::desk::{Asker, Desk, Form, Front, Role, commands, joining};
use gudgeon::fronts::terminal::{Manner, Progress};
use gudgeon::fronts::{terminal, web};
use gudgeon::record::{self, Report, SafekeepingError};
use gudgeon::{shop, shops};

/// A chat bot with a shared reference library for shops that rebuild piston engines.
#[derive(Parser)]
#[command(name = "gudgeon", version)]
struct Cli {
    /// Where the job record is kept.
    #[arg(long, global = true, value_name = "DIR")]
    data: Option<PathBuf>,
    /// The shop's own pages.
    #[arg(long, global = true, value_name = "DIR")]
    library: Option<PathBuf>,
    /// The settings file.
    #[arg(long, global = true, env = "GUDGEON_CONFIG", value_name = "FILE")]
    config: Option<PathBuf>,
    #[command(subcommand)]
    command: Option<Task>,
}

#[derive(Subcommand)]
enum Task {
    /// Open the phone page (and the chat front, where there is a token). This is also what no command does.
    Serve {
        /// Address and port of the phone page.
        #[arg(long)]
        listen: Option<SocketAddr>,
        /// Open it to the shop's network: over https, for those who were invited.
        #[arg(long)]
        lan: bool,
    },
    /// Answer one line; with `-`, every line of standard input.
    Say {
        /// One JSON object a line, for scripts.
        #[arg(long)]
        json: bool,
        /// Who asks.
        #[arg(long = "as", value_name = "NAME")]
        person: Option<String>,
        /// Save figures, documents and photographs of the reply in this folder.
        #[arg(long, value_name = "DIR")]
        save: Option<PathBuf>,
        /// Names this request: sent again under the same name, nothing is posted twice. Lines of `-` are numbered.
        #[arg(long, value_name = "NAME")]
        key: Option<String>,
        /// A photograph to keep with the reading that the line posts or names; may be given again.
        #[arg(long, value_name = "FILE")]
        photo: Vec<PathBuf>,
        #[arg(trailing_var_arg = true, allow_hyphen_values = true, required = true)]
        line: Vec<String>,
    },
    /// Talk in the terminal.
    Console {
        /// Who asks.
        #[arg(long = "as", value_name = "NAME")]
        person: Option<String>,
    },
    /// The shop's pages.
    Library {
        #[command(subcommand)]
        task: LibraryTask,
    },
    /// The job record: is it whole, all of it as text, and back.
    Record {
        #[command(subcommand)]
        task: RecordTask,
    },
    /// Who may come to the page over the network: letting in, putting out.
    People {
        #[command(subcommand)]
        task: PeopleTask,
    },
    /// The chat front: inviting the bot, and what it still lacks.
    Discord {
        #[command(subcommand)]
        task: DiscordTask,
    },
    /// Copy the record to a file, while it is in use.
    Backup { file: PathBuf },
    /// Put a backup in the record's place; the old record is kept beside it.
    Restore { file: PathBuf },
    /// Make a real shop's folder: settings, a copy of the shelf, an empty record.
    Init { dir: PathBuf },
}

#[derive(Subcommand)]
enum LibraryTask {
    /// Report every fault in the pages as file:line: what, and what would be right.
    Check,
    /// Start a page to be filled in; `library check` says what is left to write.
    New {
        /// What it is for.
        #[arg(value_parser = ["procedure", "limits", "engine", "note"])]
        kind: String,
        /// What people call it; the file takes its name from it.
        #[arg(required = true)]
        name: Vec<String>,
    },
}

#[derive(Subcommand)]
enum RecordTask {
    /// Walk the chain of hashes, and name the first event that does not hold.
    Verify {
        /// A backup to look at instead.
        file: Option<PathBuf>,
    },
    /// Write every event to a new file, one JSON object a line.
    Export { file: PathBuf },
    /// Make a record of an export, where none is.
    Import { file: PathBuf },
}

#[derive(Subcommand)]
enum PeopleTask {
    /// Make a one-time code by which a phone comes in as this person.
    Invite {
        name: String,
        /// apprentice, tech or lead; where left out the one they have, and apprentice for someone new.
        #[arg(long)]
        role: Option<Role>,
    },
    /// Everyone, their devices, and the codes that are open.
    List,
    /// Take a person out, with every device, or one device of theirs.
    Remove {
        name: String,
        /// Its number in `people list`.
        #[arg(long, value_name = "NUMBER")]
        device: Option<i64>,
    },
}

#[derive(Subcommand)]
pub enum DiscordTask {
    /// Print the link by which the bot is invited, with exactly the rights it needs.
    Invite {
        /// The application's number, from its page; asked of the platform where left out and there is a token.
        application: Option<u64>,
    },
    /// Say what the chat front still lacks: token, server, roles, channels, rights. Nothing is changed.
    Check,
}

fn main() -> ExitCode {
    let filter = tracing_subscriber::EnvFilter::try_from_env("GUDGEON_LOG")
        .unwrap_or_else(|_| tracing_subscriber::EnvFilter::new("warn,gudgeon=info"));
    tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).init();
    let cli = Cli::command().mut_subcommand("say", |say| say.after_help(listing()));
    let cli = match Cli::from_arg_matches(&cli.get_matches()) {
        Ok(cli) => cli,
        Err(error) => error.exit(),
    };
    run(cli).unwrap_or_else(|error| {
        eprintln!("gudgeon: {error:#}");
        ExitCode::FAILURE
    })
}

/// The commands under their families, for `say --help`.
fn listing() -> String {
    let forms = Form::all(&commands::Line::command());
    let width = forms.iter().map(|form| form.words().len() + 4).max().unwrap_or_default();
    let mut out = String::from("Lines, by family (anything else is a question for the library):\n");
    for family in forms.chunk_by(|a, b| a.family == b.family) {
        let of_verbs = family.first().filter(|form| form.verb.is_some());
        let heading = of_verbs.map(|form| (form.family.clone(), &form.family_about));
        let indent = if of_verbs.is_some() { "  " } else { "" };
        let listed = family.iter().map(|form| (format!("{indent}{}", form.words()), &form.about));
        for (words, about) in heading.into_iter().chain(listed) {
            out.push_str(&format!("{words:<width$}{about}\n"));
        }
    }
    out
}

fn run(cli: Cli) -> anyhow::Result<ExitCode> {
    let mut config = Config::load(cli.config.as_deref())?;
    let several = shops::listed(cli.config.as_deref(), &config, |name| std::env::var(name).ok())?;
    if !several.is_empty() {
        return run_several(&cli, several);
    }
    config.overlay(|name| std::env::var(name).ok())?;
    if let Some(data) = cli.data {
        config.data = data;
    }
    if let Some(library) = cli.library {
        if !library.is_dir() {
            bail!("there is no library folder {}", library.display());
        }
        config.library = library;
    }
    match cli.command.unwrap_or(Task::Serve { listen: None, lan: false }) {
        Task::Serve { listen, lan } => {
            if let Some(listen) = listen {
                config.page.listen = listen;
            }
            if lan {
                config.open_to_network();
            }
            serving::serve(&[config])
        }
        Task::Say { json, person, save, key, photo, line } => {
            let desk = open(&config)?;
            let mut asker = asker(&config, person);
            for place in &photo {
                terminal::enclose(&mut asker, place)?;
            }
            let manner = Manner { json, save, key };
            let line = line.join(" ");
            let mut out = stdout().lock();
            if line == "-" {
                terminal::say_all(&desk, &asker, BufReader::new(stdin()), &manner, &mut out)
            } else {
                let line = terminal::with_rows(&desk, &line, stdin())?;
                terminal::say(&desk, &asker, &line, &manner, &mut out)
            }
        }
        Task::Console { person } => {
            let desk = open(&config)?;
            terminal::console(&desk, &asker(&config, person), BufReader::new(stdin()), &mut stdout().lock())?;
            Ok(ExitCode::SUCCESS)
        }
        Task::Library { task: LibraryTask::Check } => {
            let progress = Progress::new("Checking the library");
            let faults = shop::library_faults(&config, &|done, all| progress.tell(done, all))?;
            drop(progress);
            for fault in &faults {
                println!("{fault}");
            }
            println!("{} fault(s) in {}", faults.len(), config.library.display());
            Ok(if faults.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(2) })
        }
        Task::Library { task: LibraryTask::New { kind, name } } => {
            match shop::new_page(&config, &kind, &name.join(" "))? {
                Ok(path) => println!(
                    "{}: write in the place of every FILL IN, then run `gudgeon library check`. The page is on the shelf as \
                     soon as none is left.",
                    path.display()
                ),
                Err(refused) => {
                    eprintln!("gudgeon: nothing was changed: {refused}");
                    return Ok(ExitCode::from(2));
                }
            }
            Ok(ExitCode::SUCCESS)
        }
        Task::Record { task: RecordTask::Verify { file } } => {
            let place = file.unwrap_or_else(|| shop::record_file(&config));
            Ok(kept(watched("Checking the record", |report| record::verify(&place, report)), |chain| {
                match &chain.fault {
                    None => format!("{} is whole: {}", place.display(), extent(chain)),
                    Some(_) => format!("{} is broken", place.display()),
                }
            }))
        }
        Task::Record { task: RecordTask::Export { file } } => {
            let record = shop::record_there(&config)?;
            Ok(kept(watched("Exporting", |report| record.export(&file, report)), |chain| {
                format!("Exported to {}: {}", file.display(), extent(chain))
            }))
        }
        Task::Record { task: RecordTask::Import { file } } => {
            let place = shop::record_place(&config)?;
            Ok(kept(watched("Importing", |report| record::import(&file, &place, report)), |chain| {
                format!("Imported from {}: {}", file.display(), extent(chain))
            }))
        }
        Task::People { task: PeopleTask::List } => {
            print!("{}", terminal::people::list(&config.data, &config.roles())?);
            Ok(ExitCode::SUCCESS)
        }
        Task::People { task: PeopleTask::Invite { name, role } } => {
            config.open_to_network();
            let address = web::addresses(&config).into_iter().next();
            let done = terminal::people::invite(&config.data, &config.roles(), &name, role, address.as_deref())?;
            Ok(done_or_refused(done))
        }
        Task::People { task: PeopleTask::Remove { name, device } } => {
            Ok(done_or_refused(terminal::people::remove(&config.data, &name, device)?))
        }
        Task::Discord { task } => chat::task(&[config], &task),
        Task::Backup { file } => {
            let record = shop::record_there(&config)?;
            Ok(kept(watched("Backing up", |report| record.backup(&file, report)), |chain| {
                format!("Backed up to {}: {}", file.display(), extent(chain))
            }))
        }
        Task::Restore { file } => {
            let place = shop::record_place(&config)?;
            let restored = watched("Restoring", |report| record::restore(&file, &place, report));
            let aside = restored.as_ref().ok().and_then(|restored| restored.kept.clone());
            let code = kept(restored.map(|restored| restored.chain), |chain| {
                format!("Restored from {}: {}", file.display(), extent(chain))
            });
            if let Some(aside) = aside {
                println!("The record that was there is kept as {}", aside.display());
            }
            Ok(code)
        }
        Task::Init { dir } => {
            let lines = shop::init(&dir)?;
            stdout().lock().write_all(lines.as_bytes())?;
            Ok(ExitCode::SUCCESS)
        }
    }
}

/// What can be done for several shops at once; all else is a matter of one.
fn run_several(cli: &Cli, mut several: Vec<Config>) -> anyhow::Result<ExitCode> {
    if cli.data.is_some() || cli.library.is_some() {
        bail!("--data and --library are for one shop: name its settings with --config SHOP/gudgeon.toml");
    }
    match &cli.command {
        None => serving::serve(&several),
        Some(Task::Serve { listen: Some(_), .. }) => {
            bail!("--listen is for one page: write page.listen in each shop's gudgeon.toml")
        }
        Some(Task::Serve { lan, .. }) => {
            if *lan {
                several.iter_mut().for_each(Config::open_to_network);
            }
            serving::serve(&several)
        }
        Some(Task::Discord { task }) => chat::task(&several, task),
        Some(_) => bail!("these settings list several shops: name one with --config SHOP/gudgeon.toml"),
    }
}

/// Says what was done, or why nothing was.
fn done_or_refused(done: Result<String, String>) -> ExitCode {
    match done {
        Ok(done) => {
            println!("{}", done.trim_end());
            ExitCode::SUCCESS
        }
        Err(refused) => {
            eprintln!("gudgeon: nothing was changed: {refused}");
            ExitCode::from(2)
        }
    }
}

/// Does a long work with its progress on the terminal, and clears the line before anything else is said.
fn watched<T>(what: &'static str, work: impl FnOnce(Report<'_>) -> T) -> T {
    let progress = Progress::new(what);
    work(&|done, all| progress.tell(done, all))
}

fn open(config: &Config) -> anyhow::Result<Desk> {
    let mut config = config.clone();
    for (name, role) in joining::members(&config.data)? {
        config.people.entry(name).or_insert(Person { role });
    }
    watched("Reading the library", |report| shop::open_telling(&config, report))
}

/// Says how a work on the record's files ended: 0 done, 2 refused or done on a chain that is broken, 1 failed.
fn kept(outcome: Result<record::Chain, SafekeepingError>, done: impl FnOnce(&record::Chain) -> String) -> ExitCode {
    match outcome {
        Ok(chain) => {
            println!("{}", done(&chain));
            let Some(fault) = chain.fault else { return ExitCode::SUCCESS };
            println!("Its chain holds for {} events, and then it does not: {fault}.", chain.events);
            println!("Keep the files as they are, and compare with an earlier backup.");
            ExitCode::from(2)
        }
        Err(error) => {
            eprintln!("gudgeon: nothing was changed: {error}");
            if error.is_refusal() { ExitCode::from(2) } else { ExitCode::FAILURE }
        }
    }
}

fn extent(chain: &record::Chain) -> String {
    format!("{} events, the last one's hash is {}", chain.events, chain.head)
}

fn asker(config: &Config, person: Option<String>) -> Asker {
    Asker::new(person.unwrap_or_else(|| config.terminal.person.clone()), Front::Terminal)
}
