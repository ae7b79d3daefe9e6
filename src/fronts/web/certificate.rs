//! The certificate the page shows: a given one, or one signed by the shop's own authority.
//!
//! The authority is made once and kept in the data folder. A phone that trusts it sees no warning when the certificate is
//! remade, which happens when an address comes that it does not name, or its end is near. The authority can vouch for
//! nothing but private addresses and the names of such networks, so that who steals it can pass for no bank.

use std::fs::{DirBuilder, OpenOptions};
use std::io::Write as _;
use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::{Arc, PoisonError, RwLock};
use std::time::Duration;

use anyhow::{Context as _, bail};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType, ExtendedKeyUsagePurpose,
    GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose, NameConstraints,
};
use tokio_rustls::rustls::client::{verify_server_cert_signed_by_trust_anchor, verify_server_name};
use tokio_rustls::rustls::crypto::ring::default_provider;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer, ServerName, UnixTime};
use tokio_rustls::rustls::server::{ClientHello, ParsedCertificate, ResolvesServerCert};
use tokio_rustls::rustls::sign::CertifiedKey;
use tokio_rustls::rustls::{RootCertStore, ServerConfig};

use super::network;
use crate::config::Config;

const FOLDER: &str = "tls";
/// Browsers take no certificate that lasts longer than 398 days.
const LASTS: SignedDuration = SignedDuration::from_hours(397 * 24);
/// It is remade so long before its end.
const AHEAD: SignedDuration = SignedDuration::from_hours(30 * 24);
const AUTHORITY_LASTS: SignedDuration = SignedDuration::from_hours(3650 * 24);
/// For a phone whose clock is slow.
const BEFORE: SignedDuration = SignedDuration::from_hours(24);

/// Names that no public authority gives out (RFC 6762, 8375; `internal` by ICANN; `lan` is common practice).
const DOMAINS: [&str; 5] = ["local", "home.arpa", "internal", "lan", "localhost"];
const V4: [([u8; 4], u8); 5] =
    [([10, 0, 0, 0], 8), ([172, 16, 0, 0], 12), ([192, 168, 0, 0], 16), ([169, 254, 0, 0], 16), ([127, 0, 0, 0], 8)];
/// fc00::/7
const V6: ([u8; 16], u8) = ([0xfc, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0], 7);

/// What is shown to who connects. It can be renewed while it is in use.
#[derive(Debug)]
pub struct Papers {
    shown: RwLock<Arc<CertifiedKey>>,
    /// Where the shop's own lies; none for a given one.
    folder: Option<PathBuf>,
    /// The authority, for a phone to take.
    authority: Option<CertificateDer<'static>>,
}

impl ResolvesServerCert for Papers {
    fn resolve(&self, _: ClientHello<'_>) -> Option<Arc<CertifiedKey>> {
        Some(self.shown())
    }
}

impl Papers {
    /// The given certificate, or the shop's own with every name it needs today.
    pub fn open(config: &Config, now: Timestamp) -> anyhow::Result<Self> {
        let page = &config.page;
        if !page.certificate.as_os_str().is_empty() {
            let shown = given(&page.certificate, &page.key)?;
            return Ok(Self { shown: RwLock::new(Arc::new(shown)), folder: None, authority: None });
        }
        let names = network::names(config);
        refuse_strange(config, &names)?;
        let folder = config.data.join(FOLDER);
        let mut builder = DirBuilder::new();
        builder.recursive(true);
        #[cfg(unix)]
        std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
        builder.create(&folder).with_context(|| format!("cannot make the folder {}", folder.display()))?;
        let authority = Authority::open(&folder, now)?;
        let shown = match kept(&folder, &authority.certificate, &names, now) {
            Some(kept) => kept,
            None => authority.issue(&folder, &names, now)?,
        };
        let authority = Some(authority.certificate);
        Ok(Self { shown: RwLock::new(Arc::new(shown)), folder: Some(folder), authority })
    }

    /// Remakes the shop's own certificate where it does not hold these names, or its end is near; true when it did.
    pub fn renew(&self, names: &[String], now: Timestamp) -> anyhow::Result<bool> {
        let (Some(folder), Some(certificate)) = (&self.folder, &self.authority) else { return Ok(false) };
        let shown = self.shown();
        if shown.cert.first().is_some_and(|leaf| is_good(leaf, certificate, names, now)) {
            return Ok(false);
        }
        let renewed = Authority::open(folder, now)?.issue(folder, names, now)?;
        *self.shown.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(renewed);
        Ok(true)
    }

    fn shown(&self) -> Arc<CertifiedKey> {
        self.shown.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The authority that a phone may trust, where the certificate is the shop's own.
    pub fn authority(&self) -> Option<&CertificateDer<'static>> {
        self.authority.as_ref()
    }

    /// What a person compares with what the browser shows.
    pub fn fingerprint(&self) -> String {
        self.shown().cert.first().map(|leaf| fingerprint(leaf)).unwrap_or_default()
    }

    /// How connections are made safe with it: TLS 1.2 and 1.3, HTTP/1.1.
    pub fn server(self: &Arc<Self>) -> anyhow::Result<ServerConfig> {
        let mut server = ServerConfig::builder_with_provider(Arc::new(default_provider()))
            .with_safe_default_protocol_versions()?
            .with_no_client_auth()
            .with_cert_resolver(self.clone());
        server.alpn_protocols = vec![b"http/1.1".to_vec()];
        Ok(server)
    }
}

/// SHA-256 in pairs of digits, as every browser shows it.
pub fn fingerprint(certificate: &[u8]) -> String {
    let hash = ring::digest::digest(&ring::digest::SHA256, certificate);
    hash.as_ref().iter().map(|byte| format!("{byte:02X}")).collect::<Vec<_>>().join(":")
}

fn given(certificate: &Path, key: &Path) -> anyhow::Result<CertifiedKey> {
    let of = |setting: &str, path: &Path| format!("{setting} = {}", path.display());
    let chain = CertificateDer::pem_file_iter(certificate)
        .and_then(Iterator::collect::<Result<Vec<_>, _>>)
        .with_context(|| format!("{}: it cannot be read as PEM", of("page.certificate", certificate)))?;
    if chain.is_empty() {
        bail!("{}: there is no certificate in it", of("page.certificate", certificate));
    }
    let secret = PrivateKeyDer::from_pem_file(key)
        .with_context(|| format!("{}: there is no private key in it as PEM", of("page.key", key)))?;
    CertifiedKey::from_der(chain, secret, &default_provider())
        .with_context(|| format!("{}: it is not the key of page.certificate", of("page.key", key)))
}

/// The shop's own certificate can be for no name that belongs to others.
fn refuse_strange(config: &Config, names: &[String]) -> anyhow::Result<()> {
    let within = |name: &str| match name.parse::<IpAddr>() {
        Ok(ip) => network::is_private(ip),
        Err(_) => DOMAINS.iter().any(|domain| {
            name.to_ascii_lowercase().strip_suffix(domain).is_some_and(|rest| rest.is_empty() || rest.ends_with('.'))
        }),
    };
    let Some(strange) = names.iter().find(|name| !within(name)) else { return Ok(()) };
    let key = if network::host_of(&config.page.address) == Some(strange) { "page.address" } else { "page.listen" };
    bail!(
        "{key}: the shop's own certificate is for private addresses and names that end in {} only, not for {strange}: \
         give one in page.certificate and page.key",
        DOMAINS.map(|domain| format!(".{domain}")).join(", ")
    )
}

/// The one who signs.
struct Authority {
    key: KeyPair,
    certificate: CertificateDer<'static>,
}

impl Authority {
    /// The authority in this folder, made where there is none.
    fn open(folder: &Path, now: Timestamp) -> anyhow::Result<Self> {
        let (key_path, path) = (folder.join("authority.key"), folder.join("authority.pem"));
        if !key_path.exists() && !path.exists() {
            let key = KeyPair::generate().context("no key for the authority")?;
            let certificate = authority(&key, now)?.self_signed(&key).context("no authority")?;
            secret(&key_path, &key.serialize_pem())?;
            std::fs::write(&path, certificate.pem()).with_context(|| format!("cannot write {}", path.display()))?;
        }
        let advice = "put it back from a copy; without one remove the folder, and every phone has to trust the new one";
        let text = std::fs::read_to_string(&key_path)
            .with_context(|| format!("cannot read {}: {advice}", key_path.display()))?;
        let key = KeyPair::from_pem(&text).with_context(|| format!("{} is no key: {advice}", key_path.display()))?;
        let certificate = CertificateDer::from_pem_file(&path)
            .with_context(|| format!("{} is no certificate: {advice}", path.display()))?;
        Ok(Self { key, certificate })
    }

    /// A new certificate for these names, kept in the folder.
    fn issue(&self, folder: &Path, names: &[String], now: Timestamp) -> anyhow::Result<CertifiedKey> {
        let key = KeyPair::generate().context("no key for the certificate")?;
        let mut page = CertificateParams::new(names.to_vec()).context("no certificate for these names")?;
        page.distinguished_name = called("Gudgeon page");
        lasting(&mut page, now - BEFORE, now + (LASTS - BEFORE));
        page.key_usages = vec![KeyUsagePurpose::DigitalSignature];
        page.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        page.use_authority_key_identifier_extension = true;
        let params = authority(&self.key, now)?;
        let leaf = page.signed_by(&key, &Issuer::from_params(&params, &self.key)).context("no certificate")?;
        // The key last: a certificate without its own key is remade at the next start.
        let path = folder.join("page.pem");
        std::fs::write(&path, leaf.pem()).with_context(|| format!("cannot write {}", path.display()))?;
        secret(&folder.join("page.key"), &key.serialize_pem())?;
        certified(leaf.der().clone(), &self.certificate, PrivateKeyDer::Pkcs8(key.serialize_der().into()))
    }
}

fn certified(
    leaf: CertificateDer<'static>,
    authority: &CertificateDer<'static>,
    key: PrivateKeyDer<'static>,
) -> anyhow::Result<CertifiedKey> {
    CertifiedKey::from_der(vec![leaf, authority.clone()], key, &default_provider())
        .context("the certificate cannot be used")
}

/// What the authority says of itself; its name follows from its key, so that it can be written again.
fn authority(key: &KeyPair, now: Timestamp) -> anyhow::Result<CertificateParams> {
    let mut params = CertificateParams::new(Vec::new())?;
    let short = blake3::hash(key.public_key_raw()).to_hex();
    params.distinguished_name = called(&format!("Gudgeon {}", short.get(..8).unwrap_or_default()));
    lasting(&mut params, now - BEFORE, now + AUTHORITY_LASTS);
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::DigitalSignature];
    let mut permitted: Vec<GeneralSubtree> =
        DOMAINS.iter().map(|domain| GeneralSubtree::DnsName((*domain).to_owned())).collect();
    permitted
        .extend(V4.map(|(address, prefix)| GeneralSubtree::IpAddress(CidrSubnet::from_v4_prefix(address, prefix))));
    permitted.push(GeneralSubtree::IpAddress(CidrSubnet::from_v6_prefix(V6.0, V6.1)));
    params.name_constraints = Some(NameConstraints { permitted_subtrees: permitted, excluded_subtrees: Vec::new() });
    Ok(params)
}

fn called(name: &str) -> DistinguishedName {
    let mut called = DistinguishedName::new();
    called.push(DnType::CommonName, name);
    called
}

/// Whole days, UTC.
fn lasting(params: &mut CertificateParams, from: Timestamp, until: Timestamp) {
    let date = |at: Timestamp| {
        let date = at.to_zoned_datetime(TimeZone::UTC).date();
        rcgen::date_time_ymd(date.year().into(), date.month().unsigned_abs(), date.day().unsigned_abs())
    };
    (params.not_before, params.not_after) = (date(from), date(until));
}

/// The certificate in the folder, while it is good.
fn kept(folder: &Path, authority: &CertificateDer<'static>, names: &[String], now: Timestamp) -> Option<CertifiedKey> {
    let leaf = CertificateDer::from_pem_file(folder.join("page.pem")).ok()?;
    let key = PrivateKeyDer::from_pem_file(folder.join("page.key")).ok()?;
    is_good(&leaf, authority, names, now).then(|| certified(leaf, authority, key).ok()).flatten()
}

/// Whether a browser that trusts the authority will take it for all these names, for a while yet.
fn is_good(leaf: &CertificateDer<'_>, authority: &CertificateDer<'_>, names: &[String], now: Timestamp) -> bool {
    let Ok(parsed) = ParsedCertificate::try_from(leaf) else { return false };
    let mut roots = RootCertStore::empty();
    let Ok(soon) = u64::try_from((now + AHEAD).as_second()) else { return false };
    let soon = UnixTime::since_unix_epoch(Duration::from_secs(soon));
    let means = default_provider().signature_verification_algorithms;
    roots.add(authority.clone().into_owned()).is_ok()
        && verify_server_cert_signed_by_trust_anchor(&parsed, &roots, &[], soon, means.all).is_ok()
        && names.iter().all(|name| {
            ServerName::try_from(name.as_str()).is_ok_and(|name| verify_server_name(&parsed, &name).is_ok())
        })
}

/// Puts a secret in a file that only its owner can read, whole or not at all.
fn secret(path: &Path, text: &str) -> anyhow::Result<()> {
    let new = path.with_extension("new");
    let write = || -> std::io::Result<()> {
        let mut options = OpenOptions::new();
        options.write(true).create(true).truncate(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        let mut file = options.open(&new)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        std::fs::rename(&new, path)
    };
    write().with_context(|| format!("cannot write {}", path.display()))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn config(folder: &Path) -> Config {
        let mut config = Config { data: folder.to_owned(), ..Config::default() };
        config.page.listen = "10.1.2.3:8470".parse().unwrap();
        config
    }

    fn at(text: &str) -> Timestamp {
        text.parse().unwrap()
    }

    fn names(names: &[&str]) -> Vec<String> {
        names.iter().map(|&name| name.to_owned()).collect()
    }

    #[test]
    fn it_is_kept_until_an_address_comes_or_its_end_is_near() {
        let folder = tempfile::tempdir().unwrap();
        let config = config(folder.path());
        let start = at("2026-02-01T10:00:00Z");
        let papers = Papers::open(&config, start).unwrap();
        let (first, authority) = (papers.fingerprint(), papers.authority().unwrap().clone());
        assert_eq!(first.len(), 95);
        assert_eq!(Papers::open(&config, start).unwrap().fingerprint(), first, "kept over a restart");
        assert!(!papers.renew(&names(&["10.1.2.3"]), start).unwrap());
        assert!(papers.renew(&names(&["10.1.2.3", "192.168.4.4"]), start).unwrap(), "an address came");
        let second = papers.fingerprint();
        assert_ne!(second, first);
        assert!(!papers.renew(&names(&["192.168.4.4"]), at("2027-01-30T10:00:00Z")).unwrap());
        assert!(papers.renew(&names(&["192.168.4.4"]), at("2027-02-05T10:00:00Z")).unwrap(), "its end is near");
        assert_eq!(papers.authority().unwrap(), &authority, "what phones trust stays");
        let leaf = papers.shown().cert.first().unwrap().clone();
        assert!(is_good(&leaf, &authority, &names(&["192.168.4.4"]), at("2028-01-30T10:00:00Z")));
        assert!(!is_good(&leaf, &authority, &names(&["192.168.4.5"]), at("2027-03-01T10:00:00Z")));
    }

    #[test]
    fn the_authority_can_pass_for_nobody_elsewhere() {
        let folder = tempfile::tempdir().unwrap();
        let now = at("2026-02-01T10:00:00Z");
        let papers = Papers::open(&config(folder.path()), now).unwrap();
        let authority = Authority::open(&folder.path().join(FOLDER), now).unwrap();
        for (name, good) in [
            ("bench.local", true),
            ("bench.home.arpa", true),
            ("172.20.0.9", true),
            ("fd00::5", true),
            ("elsewhere.example", false),
            ("local.example", false),
            ("192.0.2.1", false),
            ("2001:db8::1", false),
        ] {
            let made = authority.issue(folder.path(), &names(&[name]), now).unwrap();
            let leaf = made.cert.first().unwrap();
            assert_eq!(is_good(leaf, papers.authority().unwrap(), &names(&[name]), now), good, "{name}");
        }
    }

    #[test]
    fn settings_it_cannot_serve_are_refused_by_name() {
        let folder = tempfile::tempdir().unwrap();
        let now = at("2026-02-01T10:00:00Z");
        let refused = |change: &dyn Fn(&mut Config)| {
            let mut config = config(folder.path());
            change(&mut config);
            format!("{:#}", Papers::open(&config, now).unwrap_err())
        };
        let said = refused(&|config| config.page.address = "https://shop.example:8470".to_owned());
        assert!(said.starts_with("page.address: ") && said.contains("shop.example"), "{said}");
        let said = refused(&|config| config.page.listen = "192.0.2.1:8470".parse().unwrap());
        assert!(said.starts_with("page.listen: ") && said.contains("192.0.2.1"), "{said}");
        let give = |certificate: &str, key: &str| {
            let (certificate, key) = (folder.path().join(certificate), folder.path().join(key));
            refused(&|config| {
                config.page.certificate.clone_from(&certificate);
                config.page.key.clone_from(&key);
            })
        };
        Papers::open(&config(folder.path()), now).unwrap();
        std::fs::write(folder.path().join("none.pem"), "no certificate").unwrap();
        assert!(give("missing.pem", "tls/page.key").starts_with("page.certificate = "));
        assert!(give("none.pem", "tls/page.key").contains("there is no certificate in it"));
        assert!(give("tls/page.pem", "none.pem").starts_with("page.key = "));
        let said = give("tls/page.pem", "tls/authority.key");
        assert!(said.contains("it is not the key of page.certificate"), "{said}");
    }

    #[cfg(unix)]
    #[test]
    fn keys_are_their_owners_alone_and_a_lost_one_is_named() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let now = at("2026-02-01T10:00:00Z");
        Papers::open(&config(folder.path()), now).unwrap();
        let tls = folder.path().join(FOLDER);
        let mode = |path: &Path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode(&tls), 0o700);
        for key in ["authority.key", "page.key"] {
            assert_eq!(mode(&tls.join(key)), 0o600, "{key}");
        }
        std::fs::remove_file(tls.join("authority.key")).unwrap();
        let said = format!("{:#}", Papers::open(&config(folder.path()), now).unwrap_err());
        assert!(said.contains("authority.key"), "never a new one in silence: {said}");
    }
}
