package ration

import "rimegate/hazard"

// Publications the figures of this package come from. Where a page shows no
// year, Year is 0.
var (
	srcRasby = hazard.Source{
		ID: "ne-rasby-intake", Publisher: "University of Nebraska (Rasby), via BEEF Magazine",
		Title: "Cows' daily feed consumption", URL: "http://beefmagazine.com/Cows_Daily_Feed_Consumption",
	}
	srcAlbertaIntake = hazard.Source{
		ID: "ab-faq-7811", Publisher: "Alberta Agriculture", Title: "Frequently asked question 7811 (feed intake of beef cattle)",
		URL: "https://www1.agric.gov.ab.ca/$department/deptdocs.nsf/all/faq7811?opendocument",
	}
	srcMullenix = hazard.Source{
		ID: "mullenix-2022", Publisher: "Mullenix, Progressive Cattle", Title: "Southeast: Forage intake in beef cattle", Year: 2022,
		URL: "https://www.progressivecattle.com/news/regional-roundup/southeast-forage-intake-in-beef-cattle",
	}
	srcNCAT = hazard.Source{
		ID: "ncat-graziers-math", Publisher: "National Center for Appropriate Technology (Rinehart)",
		Title: "Grazier's Math: Matching Forage to Animal Demand",
		URL:   "https://attra.ncat.org/product/graziers-math-matching-forage-to-animal-demand/",
	}
	srcFick = hazard.Source{
		ID: "ks-fick-stocking", Publisher: "Kansas State University (Fick), via Drovers",
		Title: "Use stocking rate calculations to aid grassland management",
		URL:   "https://www.drovers.com/news/use-stocking-rate-calculations-aid-grassland-management",
	}
	srcSchoenian = hazard.Source{
		ID: "md-schoenian", Publisher: "University of Maryland (Schoenian), via Open Sanctuary Project",
		Title: "How much to feed sheep and goats",
		URL:   "https://opensanctuary.org/lessons/how-much-to-feed-sheep-and-goats-sg-part-1/",
	}
	srcEquiAnalytical = hazard.Source{
		ID: "equi-analytical-intake", Publisher: "Equi-Analytical Laboratories, on NRC 1989", Title: "Predicting feed dry matter intake",
		URL: "http://www.equi-analytical.com/PuttingResultsToWork/PredictingFeedDryMatter.htm",
	}
	srcEFSA = hazard.Source{
		ID: "efsa-2018-e1", Publisher: "European Food Safety Authority", Title: "Table E.1: live weights and feed intake", Year: 2018,
		URL: "https://pmc.ncbi.nlm.nih.gov/articles/PMC7009455/table/efs25367-tbl-0030",
	}
	srcTexasAUE = hazard.Source{
		ID: "tx-aue-chart", Publisher: "Texas animal unit equivalent chart", Title: "Animal unit equivalents: domestic livestock, native wildlife, exotic wildlife",
		URL: "https://docslib.org/download/5250279/animal-unit-equivalent-chart-texas-domestic-livestock-native-wildlife-and-exotic-wildlife",
	}
	srcAAFC = hazard.Source{
		ID: "aafc-watering", Publisher: "Agriculture and Agri-Food Canada", Title: "Livestock Watering",
		URL: "http://www.agr.gc.ca/eng/science-and-innovation/agricultural-practices/water/livestock-watering/?id=1370558638358",
	}
	srcKCARE = hazard.Source{
		ID: "ks-watering-handbook", Publisher: "Kansas State University, KCARE", Title: "Livestock Watering Handbook: daily requirements",
		URL: "https://www.kcare.k-state.edu/pubs/livestock-watering-handbook/chapters/pps/lwh-pps-dailyrequirements.html",
	}
	srcBeede = hazard.Source{
		ID: "beede-water", Publisher: "Michigan State University (Beede), via Dairyland Laboratories", Title: "Water: understanding your results",
		URL: "https://www.dairylandlabs.com/water/understanding-your-results",
	}
	srcSDWater = hazard.Source{
		ID: "sd-water", Publisher: "South Dakota State University (Harty), via farms.com", Title: "Nitrates and livestock water quality",
		URL: "https://farms.com/news/nitrates-and-livestock-water-quality-166671.aspx",
	}
	srcCDPHE = hazard.Source{
		ID: "cdphe-livestock-water", Publisher: "Colorado Department of Public Health and Environment",
		Title: "Groundwater standards, livestock (in a state mine-permit file)",
		URL:   "https://dnrweblink.state.co.us/DRMSSearch/0/doc/1272070/Page36.aspx",
	}
	srcManitoba = hazard.Source{
		ID: "manitoba", Publisher: "Manitoba Agriculture", Title: "Utilizing High Nitrate Feeds Safely",
		URL: "http://petroleum.gov.mb.ca/agriculture/crops/crop-management/forages/print,utilizing-high-nitrate-feeds-safely.html",
	}
	srcCSUBlend = hazard.Source{
		ID: "csu-golden-plains-2020", Publisher: "Colorado State University Extension, Golden Plains Area, via Barn Media",
		Title: "Utilizing High-Nitrate Forages", Year: 2020,
		URL: "https://barnmedia.net/2020/09/28/09-28-20-csu-golden-plains-area-extension-utilizing-high-nitrate-forages/",
	}
	srcLee = hazard.Source{
		ID: "lee-beauchemin-2014", Publisher: "Lee and Beauchemin, Canadian Journal of Animal Science 94:557",
		Title: "A review of feeding supplementary nitrate to ruminant animals", Year: 2014,
		URL: "https://discovery.researcher.life/article/a-review-of-feeding-supplementary-nitrate-to-ruminant-animals-nitrate-toxicity-methane-emissions-and-production-performance/7d17c057dbcd3898836995ece66a4600",
	}

	// Sampling.
	srcKentucky = hazard.Source{
		ID: "ky-2012-nitrate", Publisher: "University of Kentucky", Title: "Nitrate testing", Year: 2012,
		URL: "http://www.uky.edu/Ag/GrainCrops/Briefs/nitrate_testing2012.html",
	}
	srcSDSpot = hazard.Source{
		ID: "sd-nitrate-spot", Publisher: "South Dakota State University Extension, via Capital Journal",
		Title: "Nitrate QuikTest for forages available across S.D.",
		URL:   "https://www.capjournal.com/news/nitrate-quiktest-for-forages-available-across-s-d/article_7d018110-caa7-11ea-9872-cf9ffac1deb0.html",
	}
	srcNDSample = hazard.Source{
		ID: "nd-nitrate-sample", Publisher: "North Dakota State University Extension", Title: "Newsletter: sampling standing forage for nitrate",
		URL: "https://conta.cc/3Ty9UdI",
	}
	srcKStateTests = hazard.Source{
		ID: "ks-nitrate-tests", Publisher: "Kansas State University, via farms.com", Title: "Testing methods for nitrates in forages",
		URL: "https://m.farms.com/news/testing-methods-for-nitrates-in-forages-185101.aspx",
	}
	srcWeakSpots = hazard.Source{
		ID: "hpj-cornstalks-2022", Publisher: "High Plains Journal", Title: "Grazing high-nitrate cornstalks", Year: 2022,
		URL: "https://hpj.com/2022/09/22/grazing-high-nitrate-cornstalks",
	}
	srcSunriseTest = hazard.Source{
		ID: "nz-sunrise-2021", Publisher: "NZ Lifestyle Block", Title: "Issue of 1 March 2021", Year: 2021,
		URL: "https://www.pressreader.com/new-zealand/nz-lifestyle-block/20210301/282321092689639",
	}
	srcDiurnal = hazard.Source{
		ID: "corn-diurnal", Publisher: "Journal abstract, via Scilit", Title: "Diurnal, shade, and hybrid effects (nitrate in corn)",
		URL: "https://scilit.com/publications/9c8e2d1eff75cb7c17c4ba3868fec92f",
	}
	srcAgvise = hazard.Source{
		ID: "agvise-corn", Publisher: "Agvise Laboratories", Title: "Corn (sampling for nitrate)",
		URL: "https://www.agvise.com/category/crop-management/corn/",
	}
	srcOntarioSilo = hazard.Source{
		ID: "on-fieldcrop-2019", Publisher: "Ontario field crop news", Title: "Crop Report, August 1, 2019", Year: 2019,
		URL: "https://fieldcropnews.com/2019/08/crop-report-august-1-2019-2/",
	}
	srcOntarioFreeze = hazard.Source{
		ID: "on-nitrate-forage", Publisher: "Ontario Ministry of Agriculture, via Top Crop Manager", Title: "Beware of nitrates in forage crops",
		URL: "https://www.topcropmanager.com/omafra-beware-of-nitrates-in-forage-crops/",
	}
	srcWard = hazard.Source{
		ID: "ward-bales", Publisher: "Ward Laboratories", Title: "Forage and hay sampling",
		URL: "https://labforlivestock.com/category/forage-hay/",
	}
	srcExEx2034 = hazard.Source{
		ID: "sd-exex2034", Publisher: "South Dakota State University (Patterson)", Title: "Incorporating High Nitrate Feeds Into Feeding Programs (ExEx 2034)", Year: 2002,
		URL: "https://it.scribd.com/doc/105493215/exex2034-incorporating-high-nitrate-feeds-into-feeding-programs",
	}
	srcSpotErrors = hazard.Source{
		ID: "ks-464", Publisher: "Kansas State University, Agronomy eUpdate", Title: "Testing methods for nitrates in forages",
		URL: "https://eupdate.agronomy.ksu.edu/article/testing-methods-for-nitrates-in-forages-464-2",
	}
	srcCSUStressed = hazard.Source{
		ID: "csu-stressed-corn", Publisher: "Colorado State University (Stanton, Whittier)", Title: "Strategies to minimize nitrate levels in stressed corn",
		URL: "http://extension.colostate.edu/disaster-web-sites/strategies-to-minimize-nitrate-levels-in-stressed-corn",
	}
	srcOhioHCN = hazard.Source{
		ID: "oh-hcn-testing", Publisher: "Ohio State University (Sulc)", Title: "Testing for Prussic Acid Content in Forages", Year: 2012,
		URL: "https://u.osu.edu/beef/2012/09/26/testing-for-prussic-acid-content-in-forages",
	}
	srcServiTechHCN = hazard.Source{
		ID: "servi-tech-6-05-032", Publisher: "Servi-Tech Laboratories", Title: "Crop File 6.05.032: sampling and testing forages for prussic acid toxicity",
		URL: "https://cropfile.hostwiki.io/6-00-livestock-and-feedstuff-management/6-05-032-sampling-and-testing-forages-for-prussic-acid-toxicity",
	}
	srcOhioBoyles = hazard.Source{
		ID: "oh-boyles", Publisher: "Ohio State University (Boyles)", Title: "Prussic acid",
		URL: "http://beef.osu.edu/library/prussic.html",
	}
	srcKS302 = hazard.Source{
		ID: "ks-302", Publisher: "Kansas State University, Agronomy eUpdate", Title: "Prussic acid in sorghum following a hard freeze",
		URL: "https://eupdate.agronomy.ksu.edu/article/prussic-acid-in-sorghum-following-a-hard-freeze-302",
	}
)
