// What the tests of the balance share: turning to it, asking it, reading it.

import { open, served } from "./helpers.mjs";

/**
 * Opens the page and turns to the balance.
 * @param {import("playwright-core").Browser} browser
 * @param {import("playwright-core").BrowserContextOptions} [options]
 */
export async function start(browser, options, address = served) {
  const opened = await open(browser, address, options);
  await opened.page.click('nav [data-view="balance"]');
  await opened.page.waitForSelector('.paper[data-solved="yes"]');
  // Solved, and its figures drawn.
  await opened.page.waitForFunction(() => Number(document.querySelector('[data-figure="gross"]')?.getAttribute("data-value")) > 0);
  return opened;
}

/**
 * @param {import("playwright-core").Page} page
 * @param {string} heater
 * @param {"none" | "out" | "isolated"} outage
 */
export const put = (page, heater, outage) =>
  page.locator(`label:has(> input[name="bal-${heater}"][value="${outage}"])`).click();

/**
 * The inside value of a tile.
 * @param {import("playwright-core").Page} page
 * @param {string} key
 */
export const figure = async (page, key) => {
  const value = await page.getAttribute(`[data-figure="${key}"]`, "data-value");
  if (value === null) throw new Error(`${key} is not drawn yet`);
  return Number(value);
};

/**
 * Waits until a tile shows another value.
 * @param {import("playwright-core").Page} page
 * @param {string} key
 * @param {number} old
 */
export const moved = (page, key, old) =>
  page.waitForFunction(
    ([key, old]) => document.querySelector(`[data-figure="${key}"]`)?.getAttribute("data-value") !== String(old),
    /** @type {const} */ ([key, old]),
  );

/** The costs are computed once they are looked at. @param {import("playwright-core").Page} page */
export async function costs(page) {
  await page.locator(".cost-part").scrollIntoViewIfNeeded();
  await page.waitForSelector(".costs");
}
