// Package demodata holds four years of daily weather of two cities, for the
// demonstration season and for tests on real weather.
//
// The file weather.csv is resource "weather" of the data package vega-datasets,
// version 3.2.1, unchanged (git blob 0e7e853f4c5b67615da261d5d343824a43510f50,
// the hash its datapackage.json states): 2,922 days, 2012 to 2015, of Seattle and New
// York, with the columns location, date, precipitation (mm), temp_max and
// temp_min (°C), wind and weather.
//
// Origin: NOAA Climate Data Online. The data package states its licence as
// "U.S. Government Dataset", a work of the US government. See LICENCE.txt
// beside the file for the wording.
package demodata

import _ "embed"

// CSV is the file, to be read and not changed. Package weather reads it as
// CityCSV.
//
//go:embed weather.csv
var CSV []byte
