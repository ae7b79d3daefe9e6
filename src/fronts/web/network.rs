//! The shop's network: at which addresses phones reach this machine, what it is called there, and which names in a
//! request's `Host` mean us.

use std::net::{IpAddr, Ipv6Addr, SocketAddr};

use crate::config::Config;

/// Whether an address is one of a network of one's own (RFC 1918, 3927, 4193), or of this machine alone.
pub fn is_private(address: IpAddr) -> bool {
    match address.to_canonical() {
        IpAddr::V4(v4) => v4.is_private() || v4.is_link_local() || v4.is_loopback(),
        IpAddr::V6(v6) => v6.is_unique_local() || v6.is_loopback() || is_link_local(v6),
    }
}

fn is_link_local(address: Ipv6Addr) -> bool {
    address.is_unicast_link_local()
}

/// The addresses at which the page can be reached: that one, or every private one where it listens on all.
pub fn addresses(listen: IpAddr) -> Vec<IpAddr> {
    if !listen.is_unspecified() {
        return vec![listen];
    }
    let found = if_addrs::get_if_addrs().unwrap_or_else(|error| {
        tracing::warn!("this machine does not tell its addresses: {error}");
        Vec::new()
    });
    let mut addresses: Vec<IpAddr> = found
        .iter()
        .filter(|interface| !interface.is_loopback())
        .map(|interface| interface.ip())
        // A link-local address of version 6 needs a zone that no other machine shares; version 4 is enough unasked.
        .filter(|ip| is_private(*ip) && !matches!(ip, IpAddr::V6(v6) if listen.is_ipv4() || is_link_local(*v6)))
        .collect();
    addresses.sort_unstable();
    addresses.dedup();
    addresses
}

/// What this machine is called, where that is a name a network can use.
fn host_name() -> Option<String> {
    let name = gethostname::gethostname().into_string().ok()?.to_ascii_lowercase();
    let label = name.split('.').next().unwrap_or_default();
    let plain = !label.is_empty()
        && label.len() <= 63
        && label.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
        && !label.starts_with('-')
        && !label.ends_with('-');
    plain.then(|| label.to_owned())
}

/// The host of an address such as `https://gudgeon.local:8470/`.
pub fn host_of(address: &str) -> Option<&str> {
    let (_, rest) = address.split_once("://")?;
    without_port(rest.split('/').next()?)
}

fn without_port(authority: &str) -> Option<&str> {
    let host = match authority.strip_prefix('[') {
        Some(rest) => rest.split_once(']')?.0,
        None => authority.split(':').next()?,
    };
    (!host.is_empty()).then_some(host)
}

/// Every name the shop's own certificate has to hold.
pub fn names(config: &Config) -> Vec<String> {
    let mut names: Vec<String> = host_of(&config.page.address).map(str::to_owned).into_iter().collect();
    names.extend(addresses(config.page.listen.ip()).iter().map(ToString::to_string));
    names.extend(host_name().map(|name| format!("{name}.local")));
    names.extend(["localhost".to_owned(), "127.0.0.1".to_owned()]);
    let mut seen = std::collections::BTreeSet::new();
    names.retain(|name| seen.insert(name.clone()));
    names
}

/// Where the page is, for a person: the address of the settings, else every one that was found.
pub fn origins(config: &Config) -> Vec<String> {
    let given = config.page.address.trim_end_matches('/');
    if !given.is_empty() {
        return vec![given.to_owned()];
    }
    let port = config.page.listen.port();
    addresses(config.page.listen.ip()).iter().map(|ip| format!("https://{}", SocketAddr::new(*ip, port))).collect()
}

/// The names by which requests may call this server.
pub struct Hosts {
    listen: SocketAddr,
    /// The address of the settings; empty for none.
    address: String,
    names: Vec<String>,
}

impl Hosts {
    pub fn of(config: &Config) -> Self {
        let mut names = Vec::new();
        names.extend(host_of(&config.page.address).map(str::to_ascii_lowercase));
        if let Some(name) = host_name() {
            names.push(format!("{name}.local"));
            names.push(name);
        }
        names.push("localhost".to_owned());
        let address = config.page.address.trim_end_matches('/').to_owned();
        Self { listen: config.page.listen, address, names }
    }

    /// Where a phone finds the page that was asked as `host`; none where none does.
    pub fn origin(&self, host: &str) -> Option<String> {
        if self.listen.ip().is_loopback() {
            return None;
        }
        if !self.address.is_empty() {
            return Some(self.address.clone());
        }
        let here = without_port(host)?;
        if here != "localhost" && !here.parse::<IpAddr>().is_ok_and(|ip| ip.is_loopback()) {
            return Some(format!("https://{host}"));
        }
        // The lead sits at the shop's own machine; where it has no address yet, only that machine finds the page.
        let first = addresses(self.listen.ip()).into_iter().next();
        Some(
            first
                .map_or(format!("https://{host}"), |ip| format!("https://{}", SocketAddr::new(ip, self.listen.port()))),
        )
    }

    /// Only our own names are answered, so that no name elsewhere can be pointed at us. An address is no name: whoever
    /// writes it means the machine that has it.
    pub fn ours(&self, host: &str) -> bool {
        if self.listen.ip().is_loopback() {
            return self.loopback(host);
        }
        let Some(bare) = without_port(host) else { return false };
        bare.parse::<IpAddr>().is_ok() || self.names.iter().any(|name| bare.eq_ignore_ascii_case(name))
    }

    /// On loopback, its own names with its own port.
    fn loopback(&self, host: &str) -> bool {
        let port = self.listen.port();
        let named = |name: &str| {
            let with_port = host.strip_prefix(name).and_then(|rest| rest.strip_prefix(':'));
            with_port == Some(port.to_string().as_str()) || (port == 80 && host == name)
        };
        named("localhost") || named("127.0.0.1") || named("[::1]") || host == self.listen.to_string()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn hosts(listen: &str, address: &str) -> Hosts {
        let mut config = Config::default();
        config.page.listen = listen.parse().unwrap();
        config.page.address = address.to_owned();
        Hosts::of(&config)
    }

    #[test]
    fn loopback_answers_to_its_own_names_only() {
        let hosts = hosts("127.0.0.1:8470", "");
        for host in ["127.0.0.1:8470", "localhost:8470", "[::1]:8470"] {
            assert!(hosts.ours(host), "{host}");
        }
        for host in
            ["localhost", "127.0.0.1:80", "rebound.example:8470", "localhost:8470.example", "localhost.example:8470"]
        {
            assert!(!hosts.ours(host), "{host}");
        }
    }

    #[test]
    fn the_network_may_use_addresses_and_our_names_and_no_other() {
        let hosts = hosts("0.0.0.0:8470", "https://gudgeon.home.arpa:8470");
        for host in ["192.168.7.4:8470", "[fd00::1]:8470", "GUDGEON.home.arpa:8470", "gudgeon.home.arpa"] {
            assert!(hosts.ours(host), "{host}");
        }
        for host in [
            "",
            ":8470",
            "rebound.example:8470",
            "192.168.7.4.rebound.example",
            "[fd00::1",
            "gudgeon.home.arpa.example",
        ] {
            assert!(!hosts.ours(host), "{host}");
        }
    }

    #[test]
    fn private_is_what_no_stranger_reaches() {
        for address in
            ["10.0.0.1", "172.31.0.1", "192.168.1.9", "169.254.3.3", "127.0.0.1", "fd12::1", "::ffff:10.0.0.1"]
        {
            assert!(is_private(address.parse().unwrap()), "{address}");
        }
        for address in ["172.32.0.1", "192.0.2.1", "100.64.0.1", "2001:db8::1", "::ffff:192.0.2.1"] {
            assert!(!is_private(address.parse().unwrap()), "{address}");
        }
    }

    #[test]
    fn an_address_gives_its_host() {
        for (address, host) in [
            ("https://gudgeon.local:8470/", Some("gudgeon.local")),
            ("https://[fd00::1]:8470", Some("fd00::1")),
            ("https://10.0.0.1", Some("10.0.0.1")),
            ("gudgeon.local", None),
            ("https://", None),
        ] {
            assert_eq!(host_of(address), host, "{address}");
        }
    }
}
