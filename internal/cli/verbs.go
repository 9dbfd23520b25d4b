package cli

// verbs are the commands, one file each. Their order is that of the help.
type verbs struct {
	Demo    demoCmd     `cmd:"" help:"The whole job on an invented example season."`
	Mix     mixCmds     `cmd:"" help:"What to weigh and measure for a batch of syrup, and how to put one right."`
	Judge   judgeCmd    `cmd:"" help:"What stores each colony has."`
	Short   shortCmd    `cmd:"" help:"Who is short of the target, by how much, in stores and in syrup."`
	Plan    planCmd     `cmd:"" help:"Which day, which yard, which colony, how much; loads and batches."`
	Compare compareCmd  `cmd:"" help:"Two plans beside each other: now and taken out, with one thing more, by habit, of another season."`
	Review  reviewCmd   `cmd:"" help:"Look back: planned, given, taken, what died with which stores, what was learned, and the sugar for next autumn."`
	Stop    stopCmd     `cmd:"" help:"Until which day bees will still take and ripen syrup, yard by yard."`
	Rig     rigCmds     `cmd:"" help:"Tank, pump and hose, wire, heater, truck and lifting: your own rig, or one you describe."`
	Winter  winterCmd   `cmd:"" help:"Which colony runs low through winter, and when."`
	Dose    doseCmd     `cmd:"" help:"A product into a batch, by its label as you copied it."`
	Stock   stockCmd    `cmd:"" help:"What is in the feed shed by lot, what to use first and what to buy."`
	Cost    costCmd     `cmd:"" help:"What feeding cost: by colony, yard and season; sugars compared by the stores they make."`
	Trace   traceCmd    `cmd:"" help:"Which colonies got a lot, and what a colony got."`
	Weather weatherCmds `cmd:"" help:"Take weather files into the book, see what is known, fetch a forecast."`
	Scale   scaleCmd    `cmd:"" help:"Take the log of an automatic scale under a colony into the book: a reading a day."`
	Roads   roadsCmds   `cmd:"" help:"Take a table of distances and driving times into the book; list every way."`
	Figures figuresCmd  `cmd:"" help:"Every figure used, with range, source, and your own."`
	Manual  manualCmd   `cmd:"" help:"Read the manual, or look for words or the number of an error in it."`
	Import  importCmd   `cmd:"" help:"Take a season folder into the book."`
	Export  exportCmd   `cmd:"" help:"Write the season as a folder of plain CSV and TOML, or as one XLSX file."`
	Check   checkCmd    `cmd:"" help:"Look through the book, or a season folder, and tell everything wrong with it."`
	Backup  backupCmd   `cmd:"" help:"Write a proved copy of the book, while it is in use."`
	Restore restoreCmd  `cmd:"" help:"Make the book anew from a backup."`

	Doctor doctorCmd `cmd:"" help:"Look at book, disk, clock, backups, season and access, and say what is wrong."`

	Serve          serveCmd    `cmd:"" help:"Serve the screens on this computer, and with --lan to the phones of your home."`
	InstallService serviceCmd  `cmd:"" help:"Let the system start larder serve by itself when you log in."`
	Password       passwordCmd `cmd:"" help:"Set the owner's password, for the home network."`
	Phones         phonesCmds  `cmd:"" help:"The phones that are let in, and how one is taken off."`
	Helpers        helpersCmds `cmd:"" help:"The helpers who may log in, how one is let in and taken off."`
	Keepers        keepersCmds `cmd:"" help:"The keepers of a PostgreSQL server, each with a book of his own."`
	Audit          auditCmd    `cmd:"" help:"Who came in or tried to, and who changed what others may do."`
}
