"""Name parts for drawn clients, from many cultures; surnames are made up so that nobody known is met."""

FIRST_NAMES = (
    "Adaeze", "Aino", "Alessia", "Anouk", "Arturo", "Bahar", "Bruna", "Cai", "Chidi", "Dalia", "Davit",
    "Eirlys", "Emeka", "Farid", "Freya", "Giulia", "Gustavo", "Hana", "Hemi", "Ilse", "Imani", "Iskander",
    "Joaquim", "Jun", "Kalani", "Katarzyna", "Khalid", "Leilani", "Lior", "Malika", "Marit", "Matteo",
    "Mikael", "Nadia", "Ngozi", "Niamh", "Oskar", "Paloma", "Pilar", "Quang", "Ravi", "Rosalind", "Sanjay",
    "Sefa", "Signe", "Tariq", "Teodora", "Thandi", "Valentin", "Wanjiru", "Xiomara", "Yara", "Yuki",
    "Zahra", "Zoltan",
)  # fmt: skip

LAST_NAMES = (
    "Abernol", "Adewumba", "Aldermont", "Anttivaara", "Arrizola", "Babikova", "Balogisi", "Bergsvell",
    "Brantholm", "Caldivar", "Carnebrook", "Chikorova", "Dahlmarck", "Danjumbe", "Delacourel", "Drozdinek",
    "Eastwyck", "Ekundaro", "Erlandvik", "Farrowdene", "Ferranzo", "Fukumori-Hale", "Gallastro",
    "Gorskanen", "Grevelund", "Haddawani", "Halloram", "Hoangviet", "Ilunganda", "Isakarov", "Jarvenholm",
    "Joshivara", "Kalambora", "Kapanidze-Roe", "Kirkwain", "Kowalinsk", "Laakmets", "Lagerwood", "Lindovar",
    "Macrathen", "Makhosana", "Marchetoni", "Mbekiru", "Morinaga-Pell", "Nakatomura", "Nasseroun",
    "Nordahlen", "Obasimba", "Odegarden", "Okparun-Lee", "Oyelarin", "Palomarez", "Pekkarin", "Quispalta",
    "Raghavendel", "Rosenquill", "Sabatoni", "Sandwyke", "Shirazoun", "Silvanera", "Sorabjian",
    "Szentkiral", "Tamihere-Voss", "Tengborn", "Thistlewain", "Torkildal", "Umarovski", "Vandersand",
    "Vasconti", "Wanyamora", "Westerhof-Diaz", "Xhekovani", "Yamadori", "Yilmazoun", "Zachariel",
    "Zielonkar",
)  # fmt: skip
