// Package browser proves the screens in a real browser: headless Chromium
// against the real server on loopback, every story of the storybook and the
// jobs a keeper does.
//
// A browser that is missing fails these tests; nothing here is skipped. How
// chromedp v0.23 is driven is said in tools/storybook/chromium.
package browser
