//! Several shops in one process: the settings of each, read from its own folder, and refused where one would get into
//! another's record, server or address.

use std::collections::BTreeMap;
use std::fs;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, bail};

use crate::config::{Config, USUAL_FILE};

/// The settings of each shop that the file lists, in its order; none where it is a shop's own file.
///
/// `variable` reads the environment: there one shop is meant, so what would be for all of them is refused by its name.
pub fn listed(
    file: Option<&Path>,
    config: &Config,
    variable: impl Fn(&str) -> Option<String>,
) -> anyhow::Result<Vec<Config>> {
    if config.shops.is_empty() {
        return Ok(Vec::new());
    }
    let file = file.unwrap_or(Path::new(USUAL_FILE));
    let name = file.display();
    let own: toml::Table = toml::from_str(&fs::read_to_string(file).with_context(|| format!("cannot read {name}"))?)?;
    if let Some(key) = own.keys().find(|key| *key != "shops") {
        bail!("{name} lists several shops, so {key} belongs into the {USUAL_FILE} of each: here only shops may stand");
    }
    if let Some(set) = set_outside(&variable) {
        bail!("{set} is set, and {name} lists several shops: put it into the {USUAL_FILE} of the shop that it is for");
    }
    let shops = config.shops.iter().map(|folder| {
        let shop = Config::load(Some(&folder.join(USUAL_FILE)))
            .with_context(|| format!("shops: {}: `gudgeon init DIR` makes a shop's folder", folder.display()))?;
        if !shop.shops.is_empty() {
            bail!("shops: {} lists shops itself: name each of them here", folder.display());
        }
        Ok(shop)
    });
    let shops = shops.collect::<anyhow::Result<Vec<Config>>>()?;
    apart(&config.shops, &shops)?;
    Ok(shops)
}

/// A variable that would lay one value over the settings of every shop.
fn set_outside(variable: &impl Fn(&str) -> Option<String>) -> Option<String> {
    let mut found = None;
    let seen = std::cell::RefCell::new(&mut found);
    let look = |name: &str| {
        if variable(name).is_some() {
            seen.borrow_mut().get_or_insert_with(|| name.to_owned());
        }
        None
    };
    // Nothing is laid over anything: it is only asked for every name there is.
    Config::default().overlay(look).ok();
    found
}

/// Refuses what two shops cannot both have, with the names of both.
fn apart(folders: &[PathBuf], shops: &[Config]) -> anyhow::Result<()> {
    let mut data = Once::new("data", "one record for two shops");
    let mut places = Once::new("shops", "one folder for two shops");
    let mut servers = Once::new("discord.guild", "one server for two shops");
    let mut addresses = Once::new("page.address", "one address for two pages");
    let mut listening: Vec<(&Path, SocketAddr)> = Vec::new();
    for (folder, shop) in folders.iter().zip(shops) {
        places.take(folder, true_place(folder)?)?;
        fs::create_dir_all(&shop.data).with_context(|| format!("cannot make {}", shop.data.display()))?;
        data.take(folder, true_place(&shop.data)?)?;
        if shop.discord.guild != 0 {
            servers.take(folder, shop.discord.guild.to_string())?;
        }
        let page = &shop.page;
        if !page.serve {
            continue;
        }
        if !page.address.is_empty() {
            addresses.take(folder, page.address.trim_end_matches('/').to_lowercase())?;
        }
        if let Some((other, _)) = listening.iter().find(|(_, there)| overlap(*there, page.listen)) {
            bail!(
                "page.listen: {} and {} both listen on {}: give each a port of its own, or page.serve = false",
                other.display(),
                folder.display(),
                page.listen
            );
        }
        listening.push((folder, page.listen));
    }
    Ok(())
}

/// Where it really is, whatever links lead there.
fn true_place(path: &Path) -> anyhow::Result<String> {
    let place = path.canonicalize().with_context(|| format!("there is no folder {}", path.display()))?;
    Ok(place.display().to_string())
}

/// Whether both cannot be listened on; port 0 is any that is free.
fn overlap(one: SocketAddr, other: SocketAddr) -> bool {
    let everywhere = one.ip().is_unspecified() || other.ip().is_unspecified();
    one.port() != 0 && one.port() == other.port() && (everywhere || one.ip() == other.ip())
}

/// What only one shop may have.
struct Once<'s> {
    key: &'static str,
    why: &'static str,
    taken: BTreeMap<String, &'s Path>,
}

impl<'s> Once<'s> {
    fn new(key: &'static str, why: &'static str) -> Self {
        Self { key, why, taken: BTreeMap::new() }
    }

    fn take(&mut self, folder: &'s Path, value: String) -> anyhow::Result<()> {
        match self.taken.insert(value.clone(), folder) {
            None => Ok(()),
            Some(other) => {
                bail!("{}: {} and {} both have {value}: {}", self.key, other.display(), folder.display(), self.why)
            }
        }
    }
}
