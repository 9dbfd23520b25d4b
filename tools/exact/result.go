package main

func result(rows []row, end string) string {
	return `# The planner against an exact solver

Written by ` + "`make bench-exact`" + ` (` + "`go run ./tools/exact -to tools/exact/RESULT.md`" + `); times are of the machine it ran on.

Each season is invented, by its number: three to six yards of two to four hives, five to seven days, one truck, two loads a day at
most; every fifth is short of hours, every fifth short of days. It is written whole as one mixed integer programme and solved by
coinor-cbc, which knows nothing of the planner. Where the solver proves that everybody can be fed, the crew's time (loads and mixing)
is compared; else the litres short, weighted by risk, held against a litre at least. A season the solver does not close in its time is
held against its lower bound, which is unkind to the planner, and is marked so. Every plan, ours and the solver's, is gone through by
the verifier, and the bounds that ours prints are held against the solver's plan.

**` + end + `**

` + table(rows)
}
