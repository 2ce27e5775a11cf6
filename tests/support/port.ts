/**
 * A port for a server of a test. Tests run at the same time, so that it is left to chance; above 10080 there is none that
 * browsers refuse (fetch.spec.whatwg.org, "bad port").
 */
export const anyPort = (): number => 11_000 + Math.floor(Math.random() * 20_000);
