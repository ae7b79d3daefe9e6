//! The way to the platform's REST side, as the settings say.

use serenity::all::{Http, HttpBuilder};

use super::settings::Settings;

pub fn http(settings: &Settings) -> Http {
    let mut http = HttpBuilder::new(settings.token.secret());
    if let Some(client) = &settings.client {
        http = http.client(client.clone());
    }
    match &settings.api {
        // With the limiter on, the client would ignore the other address.
        Some(api) => http.proxy(api).ratelimiter_disabled(true).build(),
        None => http.build(),
    }
}

/// Does a little work with the platform from a place that has no runtime.
pub fn wait<T>(work: impl Future<Output = Result<T, String>>) -> Result<T, String> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    runtime.map_err(|error| format!("no runtime: {error}"))?.block_on(work)
}
