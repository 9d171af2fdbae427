"use strict";
document.documentElement.classList.add("scripted");
