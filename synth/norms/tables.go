package norms

// The published ECG tables. Rijnbeek 2001 gives median, 2nd and 98th percentile,
// boys and girls apart, from 11 days on; Davignon 1980 mean, 2nd and 98th percentile; the hospital
// table and Surawicz 2009 limits. The 3-6 month and 8-12 year rows of the first two
// are not at hand and are interpolated. Rijnbeek is preceded by day 3 of another
// study (mean and 2 SD), and each table ends with an adult row.
var (
	prBoys = table{ // s
		{3, 3, 0.050, 0.090, 0.130, indian},
		{11, 1 * month, 0.077, 0.099, 0.120, rijBoys},
		{1 * month, 3 * month, 0.085, 0.098, 0.120, rijBoys},
		{6 * month, 12 * month, 0.082, 0.114, 0.141, rijBoys},
		{1 * year, 3 * year, 0.086, 0.118, 0.151, rijBoys},
		{3 * year, 5 * year, 0.098, 0.121, 0.152, rijBoys},
		{5 * year, 8 * year, 0.099, 0.129, 0.160, rijBoys},
		{12 * year, 16 * year, 0.107, 0.139, 0.178, rijBoys},
		{adultFrom, adultFrom, 0.118, 0.158, 0.212, women},
	}
	prGirls = table{
		{3, 3, 0.050, 0.090, 0.130, indian},
		{11, 1 * month, 0.091, 0.101, 0.121, rijGirls},
		{1 * month, 3 * month, 0.078, 0.099, 0.133, rijGirls},
		{6 * month, 12 * month, 0.088, 0.109, 0.133, rijGirls},
		{1 * year, 3 * year, 0.078, 0.113, 0.147, rijGirls},
		{3 * year, 5 * year, 0.099, 0.123, 0.153, rijGirls},
		{5 * year, 8 * year, 0.092, 0.124, 0.156, rijGirls},
		{12 * year, 16 * year, 0.106, 0.135, 0.176, rijGirls},
		{adultFrom, adultFrom, 0.118, 0.158, 0.212, women},
	}
	prDavignon = table{
		{0, 1, 0.08, 0.11, 0.16, davignon},
		{1, 3, 0.08, 0.11, 0.14, davignon},
		{3, 7, 0.07, 0.1, 0.15, davignon},
		{7, 30, 0.07, 0.1, 0.14, davignon},
		{1 * month, 3 * month, 0.07, 0.1, 0.13, davignon},
		{6 * month, 12 * month, 0.07, 0.11, 0.16, davignon},
		{1 * year, 3 * year, 0.08, 0.11, 0.15, davignon},
		{3 * year, 5 * year, 0.08, 0.12, 0.16, davignon},
		{5 * year, 8 * year, 0.09, 0.12, 0.16, davignon},
		{12 * year, 16 * year, 0.09, 0.14, 0.18, davignon},
		{adultFrom, adultFrom, 0.12, 0.158, 0.20, standard},
	}
	prHospital = table{
		{0, 1 * week, 0.08, none, 0.15, hospital},
		{1 * week, 4 * week, 0.08, none, 0.15, hospital},
		{1 * month, 3 * month, 0.08, none, 0.15, hospital},
		{6 * month, 12 * month, 0.07, none, 0.16, hospital},
		{1 * year, 3 * year, 0.08, none, 0.16, hospital},
		{3 * year, 5 * year, 0.09, none, 0.17, hospital},
		{5 * year, 8 * year, 0.09, none, 0.17, hospital},
		{12 * year, 16 * year, 0.09, none, 0.18, hospital},
		{adultFrom, adultFrom, 0.12, none, 0.2, hospital},
	}
	qrsBoys = table{ // s, measured in V5 by Davignon
		{3, 3, 0.020, 0.040, 0.060, indian},
		{11, 1 * month, 0.050, 0.067, 0.085, rijBoys},
		{1 * month, 3 * month, 0.052, 0.064, 0.077, rijBoys},
		{6 * month, 12 * month, 0.052, 0.069, 0.086, rijBoys},
		{1 * year, 3 * year, 0.054, 0.071, 0.088, rijBoys},
		{3 * year, 5 * year, 0.058, 0.075, 0.092, rijBoys},
		{5 * year, 8 * year, 0.063, 0.080, 0.098, rijBoys},
		{12 * year, 16 * year, 0.078, 0.091, 0.111, rijBoys},
		{adultFrom, adultFrom, 0.074, 0.095, 0.110, surawiczMen},
	}
	qrsGirls = table{
		{3, 3, 0.020, 0.040, 0.060, indian},
		{11, 1 * month, 0.054, 0.067, 0.079, rijGirls},
		{1 * month, 3 * month, 0.048, 0.063, 0.077, rijGirls},
		{6 * month, 12 * month, 0.052, 0.064, 0.080, rijGirls},
		{1 * year, 3 * year, 0.054, 0.068, 0.085, rijGirls},
		{3 * year, 5 * year, 0.058, 0.071, 0.088, rijGirls},
		{5 * year, 8 * year, 0.059, 0.077, 0.095, rijGirls},
		{12 * year, 16 * year, 0.072, 0.087, 0.106, rijGirls},
		{adultFrom, adultFrom, 0.070, 0.085, 0.104, women},
	}
	qrsDavignon = table{
		{0, 1, 0.02, 0.05, 0.08, davignon},
		{1, 3, 0.02, 0.05, 0.07, davignon},
		{3, 7, 0.02, 0.05, 0.07, davignon},
		{7, 30, 0.02, 0.05, 0.08, davignon},
		{1 * month, 3 * month, 0.02, 0.05, 0.08, davignon},
		{6 * month, 12 * month, 0.03, 0.05, 0.08, davignon},
		{1 * year, 3 * year, 0.03, 0.06, 0.08, davignon},
		{3 * year, 5 * year, 0.03, 0.06, 0.07, davignon},
		{5 * year, 8 * year, 0.03, 0.06, 0.08, davignon},
		{12 * year, 16 * year, 0.04, 0.07, 0.09, davignon},
		{adultFrom, adultFrom, 0.074, 0.095, 0.110, surawiczMen},
	}
	qrsHospital = table{
		{0, 1 * week, 0.03, none, 0.08, hospital},
		{1 * week, 4 * week, 0.03, none, 0.08, hospital},
		{1 * month, 3 * month, 0.03, none, 0.08, hospital},
		{6 * month, 12 * month, 0.03, none, 0.08, hospital},
		{1 * year, 3 * year, 0.03, none, 0.08, hospital},
		{3 * year, 5 * year, 0.04, none, 0.08, hospital},
		{5 * year, 8 * year, 0.04, none, 0.08, hospital},
		{12 * year, 16 * year, 0.04, none, 0.09, hospital},
		{adultFrom, adultFrom, 0.05, none, 0.1, hospital},
	}
	qtcBoys = table{ // s
		{3, 3, 0.340, 0.400, 0.460, indian},
		{11, 1 * month, 0.378, 0.413, 0.448, rijBoys},
		{1 * month, 3 * month, 0.396, 0.419, 0.458, rijBoys},
		{6 * month, 12 * month, 0.379, 0.411, 0.449, rijBoys},
		{1 * year, 3 * year, 0.383, 0.412, 0.455, rijBoys},
		{3 * year, 5 * year, 0.377, 0.412, 0.448, rijBoys},
		{5 * year, 8 * year, 0.371, 0.411, 0.443, rijBoys},
		{12 * year, 16 * year, 0.362, 0.407, 0.449, rijBoys},
		{adultFrom, adultFrom, 0.390, 0.413, 0.450, rautaharju},
	}
	qtcGirls = table{
		{3, 3, 0.340, 0.400, 0.460, indian},
		{11, 1 * month, 0.379, 0.420, 0.462, rijGirls},
		{1 * month, 3 * month, 0.381, 0.424, 0.454, rijGirls},
		{6 * month, 12 * month, 0.381, 0.414, 0.446, rijGirls},
		{1 * year, 3 * year, 0.381, 0.417, 0.447, rijGirls},
		{3 * year, 5 * year, 0.388, 0.415, 0.442, rijGirls},
		{5 * year, 8 * year, 0.375, 0.409, 0.449, rijGirls},
		{12 * year, 16 * year, 0.370, 0.414, 0.457, rijGirls},
		{adultFrom, adultFrom, 0.388, 0.413, 0.449, women},
	}
	axisBoys = table{ // degrees
		{3, 3, 83, 127, 171, indian},
		{11, 1 * month, 75, 97, 140, rijBoys},
		{1 * month, 3 * month, 37, 87, 138, rijBoys},
		{6 * month, 12 * month, 14, 68, 122, rijBoys},
		{1 * year, 3 * year, -4, 64, 118, rijBoys},
		{3 * year, 5 * year, 7, 70, 112, rijBoys},
		{5 * year, 8 * year, -10, 70, 112, rijBoys},
		{12 * year, 16 * year, -9, 65, 112, rijBoys},
		{adultFrom, adultFrom, -30, 30, 90, halfway},
	}
	axisGirls = table{
		{3, 3, 83, 127, 171, indian},
		{11, 1 * month, 63, 110, 155, rijGirls},
		{1 * month, 3 * month, 39, 80, 121, rijGirls},
		{6 * month, 12 * month, 1, 67, 102, rijGirls},
		{1 * year, 3 * year, 2, 69, 121, rijGirls},
		{3 * year, 5 * year, 3, 69, 106, rijGirls},
		{5 * year, 8 * year, 27, 74, 117, rijGirls},
		{12 * year, 16 * year, 5, 66, 101, rijGirls},
		{adultFrom, adultFrom, -30, 30, 90, halfway},
	}
	axisDavignon = table{
		{0, 1, 59, 135, 192, davignon},
		{1, 3, 64, 134, 197, davignon},
		{3, 7, 77, 132, 187, davignon},
		{7, 30, 65, 110, 160, davignon},
		{1 * month, 3 * month, 31, 75, 114, davignon},
		{6 * month, 12 * month, 6, 55, 98, davignon},
		{1 * year, 3 * year, 7, 55, 101, davignon},
		{3 * year, 5 * year, 6, 55, 104, davignon},
		{5 * year, 8 * year, 10, 65, 139, davignon},
		{12 * year, 16 * year, 9, 59, 128, davignon},
		{adultFrom, adultFrom, -30, 30, 90, halfway},
	}
	axisHospital = table{
		{0, 1 * week, 60, none, 180, hospital},
		{1 * week, 4 * week, 45, none, 160, hospital},
		{1 * month, 3 * month, 30, none, 135, hospital},
		{6 * month, 12 * month, 0, none, 135, hospital},
		{1 * year, 3 * year, 0, none, 110, hospital},
		{3 * year, 5 * year, 0, none, 110, hospital},
		{5 * year, 8 * year, 0, none, 110, hospital},
		{12 * year, 16 * year, -15, none, 110, hospital},
		{adultFrom, adultFrom, -15, none, 110, hospital},
	}
	axisSurawicz = table{
		{0, 28, 30, none, 190, surawicz},
		{1 * month, 1 * year, 10, none, 120, surawicz},
		{1 * year, 5 * year, 5, none, 100, surawicz},
		{5 * year, 8 * year, 0, none, 140, surawicz},
		{8 * year, 16 * year, 0, none, 120, surawicz},
		{adultFrom, adultFrom, -30, none, 90, surawicz},
	}
	pDuration = table{ // s
		{3, 3, 0.02, 0.04, 0.06, indian},
		{28, 1 * year, 0.03, 0.06, 0.08, handbook},
		{1 * year, 3 * year, 0.04, 0.07, 0.09, handbook},
		{3 * year, 16 * year, 0.05, 0.08, 0.10, handbook},
		{adultFrom, adultFrom, 0.06, 0.10, 0.12, adultP},
	}
)
