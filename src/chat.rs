//! `gudgeon discord`: what the chat front still lacks, and the link by which the bot is invited, for every shop.

use std::process::ExitCode;

use gudgeon::config::Config;
use gudgeon::fronts::discord::{self, Settings};

use crate::DiscordTask;

/// Does it for each shop; of several, each is named before it.
pub fn task(shops: &[Config], task: &DiscordTask) -> anyhow::Result<ExitCode> {
    match task {
        DiscordTask::Invite { application } => invite(shops, *application),
        DiscordTask::Check => Ok(check(shops)),
    }
}

/// The settings of a shop's chat front, by how many shops there are.
pub fn settings(config: &Config, alone: bool) -> anyhow::Result<Option<Settings>> {
    if alone { Settings::find(config) } else { Settings::find_among(config) }
}

fn check(shops: &[Config]) -> ExitCode {
    let mut wrong = 0;
    for config in shops {
        if shops.len() > 1 {
            println!("{}:", config.shop);
        }
        for finding in discord::check(settings(config, shops.len() == 1)) {
            println!("{finding}");
            wrong += usize::from(finding.right.is_some());
        }
    }
    println!("{wrong} thing(s) to put right");
    if wrong == 0 { ExitCode::SUCCESS } else { ExitCode::from(2) }
}

/// Prints the link for each shop's server.
fn invite(shops: &[Config], application: Option<u64>) -> anyhow::Result<ExitCode> {
    for config in shops {
        let application = match (application, settings(config, shops.len() == 1)?) {
            (Some(number), _) => number,
            (None, Some(settings)) => discord::application(&settings).map_err(|error| {
                anyhow::anyhow!("the platform did not say which application the token is of: {error}")
            })?,
            (None, None) => {
                eprintln!(
                    "gudgeon: there is no token to ask with: name the application, `gudgeon discord invite NUMBER`"
                );
                return Ok(ExitCode::from(2));
            }
        };
        if shops.len() > 1 {
            println!("{}:", config.shop);
        }
        println!("{}", discord::invite_link(application, config.discord.guild));
    }
    Ok(ExitCode::SUCCESS)
}
