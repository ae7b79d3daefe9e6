//! The example settings never lie, and a slip in a settings file is named.

use std::path::{Path, PathBuf};

use gudgeon::config::Config;

#[test]
fn the_example_equals_the_defaults() {
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("config.example.toml");
    let text = std::fs::read_to_string(example).unwrap();
    let read: Config = toml::from_str(&text).unwrap();
    assert_eq!(read, Config::default());
}

#[test]
fn the_example_names_every_key() {
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("config.example.toml");
    let shown: toml::Table = toml::from_str(&std::fs::read_to_string(example).unwrap()).unwrap();
    assert_eq!(shown, toml::Table::try_from(Config::default()).unwrap());
}

#[test]
fn an_unknown_key_is_refused_by_name() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("gudgeon.toml");
    std::fs::write(&file, "shop = \"Ropewalk\"\nlibary = \"pages\"\n").unwrap();
    let error = format!("{:#}", Config::load(Some(&file)).unwrap_err());
    assert!(error.contains("libary") && error.contains("gudgeon.toml"), "{error}");
}

#[test]
fn the_environment_beats_the_file_and_its_slips_are_named() {
    let mut config = Config { shop: "From the file".to_owned(), ..Config::default() };
    let set = |name: &str| match name {
        "GUDGEON_SHOP" => Some("From outside".to_owned()),
        "GUDGEON_LISTEN" => Some("127.0.0.1:9".to_owned()),
        "GUDGEON_OWN_ACCEPTANCE" => Some("true".to_owned()),
        _ => None,
    };
    config.overlay(set).unwrap();
    assert_eq!((config.shop.as_str(), config.page.listen.port(), config.own_acceptance), ("From outside", 9, true));
    assert_eq!(config.terminal, Config::default().terminal, "what is not set stays");
    let error = config.overlay(|name| (name == "GUDGEON_DISCORD_GUILD").then(|| "many".to_owned())).unwrap_err();
    assert!(format!("{error:#}").contains("GUDGEON_DISCORD_GUILD"), "{error:#}");
}

#[test]
fn a_clock_that_makes_no_sense_is_refused_by_its_key() {
    let read = |text: &str| toml::from_str::<Config>(text).map_err(|error| error.to_string());
    for (key, bad) in [
        ("time_zone", "\"Mars/Base\""),
        ("time_zone", "\"\""),
        ("digest_hour", "24"),
        ("digest_hour", "-1"),
        ("digest_hour", "18.5"),
        ("digest_hour", "\"evening\""),
    ] {
        let error = read(&format!("{key} = {bad}\n")).unwrap_err();
        assert!(error.contains(key), "{error}");
    }
    assert!(read("time_zone = \"Atlantic/Faroe\"\ndigest_hour = 0\n").is_ok());
    let mut config = Config::default();
    let outside = |name: &str, value: &str| {
        let (name, value) = (name.to_owned(), value.to_owned());
        move |asked: &str| (asked == name).then(|| value.clone())
    };
    for (name, value) in [("GUDGEON_TIME_ZONE", "Mars/Base"), ("GUDGEON_DIGEST_HOUR", "24")] {
        let error = format!("{:#}", config.overlay(outside(name, value)).unwrap_err());
        assert!(error.contains(name), "{error}");
    }
    config.overlay(outside("GUDGEON_DIGEST_HOUR", "7")).unwrap();
    assert_eq!(config.digest_hour, "7".parse().unwrap());
}

#[test]
fn paths_start_from_the_files_folder() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("gudgeon.toml");
    std::fs::write(&file, "data = \"kept\"\n").unwrap();
    assert_eq!(Config::load(Some(&file)).unwrap().data, folder.path().join("kept"));
}

#[test]
fn page_settings_that_contradict_each_other_are_refused_by_their_keys() {
    let check = |change: &dyn Fn(&mut Config)| {
        let mut config = Config::default();
        change(&mut config);
        config.check().map_err(|error| error.to_string())
    };
    let given = |config: &mut Config| {
        config.page.certificate = "shop.pem".into();
        config.page.key = "shop.key".into();
        config.page.address = "https://shop.example:8470".to_owned();
    };
    assert_eq!(check(&|_| {}), Ok(()));
    assert_eq!(check(&|config| config.open_to_network()), Ok(()), "a demo may be tried on a phone: by code only");
    assert_eq!(check(&given), Ok(()));
    for (key, change) in [
        ("page.key", (|config| config.page.key = PathBuf::new()) as fn(&mut Config)),
        ("page.certificate", |config| config.page.certificate = PathBuf::new()),
        ("page.address", |config| config.page.address.clear()),
        ("page.address", |config| {
            config.open_to_network();
            config.page.address = "http://shop.example:8470".to_owned();
        }),
    ] {
        let said = check(&|config| {
            given(config);
            change(config);
        });
        assert!(said.as_ref().is_err_and(|said| said.contains(key)), "{key}: {said:?}");
    }
}

#[test]
fn to_open_to_the_network_keeps_port_and_a_chosen_address() {
    let opened = |listen: &str| {
        let mut config = Config::default();
        config.page.listen = listen.parse().unwrap();
        config.open_to_network();
        config.page.listen.to_string()
    };
    assert_eq!(opened("127.0.0.1:9000"), "0.0.0.0:9000");
    assert_eq!(opened("10.0.0.4:9000"), "10.0.0.4:9000");
}

#[test]
fn a_join_code_in_the_settings_is_refused_by_name() {
    let error = toml::from_str::<Config>("[people.lead]\nrole = \"lead\"\ncode = \"harbour-gate\"\n").unwrap_err();
    assert!(error.to_string().contains("code"), "{error}");
}
