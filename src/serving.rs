//! `gudgeon serve`: opens every shop, then every door that has what it needs, until interrupted.

use std::io::{IsTerminal, stdout};
use std::process::ExitCode;
use std::sync::Arc;

use anyhow::{Context as _, bail};
use futures_util::future::try_join_all;
use tokio::net::TcpListener;

use gudgeon::config::Config;
use gudgeon::desk::Desk;
use gudgeon::fronts::{discord, terminal, web};
use gudgeon::shop;

use crate::chat;

/// A shop whose doors are to be opened.
struct Open {
    config: Config,
    /// None where it could not be opened: it is shut, and the others go on.
    desk: Option<Arc<Desk>>,
    chat: Option<discord::Settings>,
}

/// Serves one shop, or several that know nothing of each other.
pub fn serve(shops: &[Config]) -> anyhow::Result<ExitCode> {
    let alone = shops.len() == 1;
    let named = |config: &Config| config.shop.clone();
    let mut all = Vec::new();
    for config in shops {
        config.check().with_context(|| named(config))?;
        let chat = chat::settings(config, alone).with_context(|| named(config))?;
        if !config.page.serve && chat.is_none() {
            bail!("{}: page.serve = false and no token: there is no door to open", config.shop);
        }
        all.push(Open { config: config.clone(), desk: None, chat });
    }
    for open in &mut all {
        match crate::open(&open.config) {
            Ok(mut desk) => {
                desk.watch_library();
                open.desk = Some(Arc::new(desk));
            }
            Err(error) if alone => return Err(error),
            Err(error) => tracing::error!("{} is shut, the others go on: {error:#}", open.config.shop),
        }
    }
    if all.iter().all(|open| open.desk.is_none()) {
        bail!("no shop could be opened");
    }
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build()?;
    runtime.block_on(doors(all))?;
    Ok(ExitCode::SUCCESS)
}

async fn doors(mut shops: Vec<Open>) -> anyhow::Result<()> {
    let several = shops.len() > 1;
    let mut listeners = Vec::new();
    for Open { config, desk, chat } in &mut shops {
        if several {
            println!("{}:", config.shop);
        }
        let Some(desk) = desk else {
            println!("It is shut: the log says why.");
            continue;
        };
        if config.page.serve {
            let listener = TcpListener::bind(config.page.listen)
                .await
                .with_context(|| format!("cannot listen on {}", config.page.listen))?;
            config.page.listen = listener.local_addr()?;
            for address in web::addresses(config) {
                println!("{address}/");
            }
            if config.beyond_this_machine() {
                tell_network(config)?;
            }
            listeners.push((listener, Arc::clone(desk), config.clone()));
        }
        println!("{}", shop::welcome(config, chat.is_some()));
    }
    let chat = |open: Open| Some(discord::Shop { settings: open.chat?, desk: open.desk });
    let _chat = discord::start(shops.into_iter().filter_map(chat).collect())?;
    let pages = listeners.into_iter().map(|(listener, desk, config)| async move {
        web::serve(listener, desk, &config, shutdown()).await.with_context(|| config.shop.clone())
    });
    let until = async {
        shutdown().await;
        Ok(())
    };
    tokio::try_join!(try_join_all(pages), until).map(drop)
}

/// What a person needs who brings a phone: how to be sure of the page, and the first code or the address to scan.
fn tell_network(config: &Config) -> anyhow::Result<()> {
    let addresses = web::addresses(config);
    let address = addresses.first().map(String::as_str);
    if address.is_none() {
        println!("https://localhost:{}/", config.page.listen.port());
        println!("Only this machine finds it: it has no address in a network of the shop's own yet.");
    }
    println!(
        "The certificate's SHA-256 fingerprint, to compare with what the phone shows:\n{}",
        web::fingerprint(config)?
    );
    if !stdout().is_terminal() {
        // What is written elsewhere may be kept, and a code is for no log.
        println!("`gudgeon people invite NAME` makes a code for a phone.");
        return Ok(());
    }
    match terminal::people::invite_first(&config.data, &config.roles(), address)? {
        Some(code) => print!("{code}"),
        None => print!("{}", address.map(terminal::people::scan).transpose()?.unwrap_or_default()),
    }
    Ok(())
}

async fn shutdown() {
    if let Err(error) = tokio::signal::ctrl_c().await {
        tracing::warn!("no signal handler: {error}");
        std::future::pending::<()>().await;
    }
}
